"""Corrections by a grey card or white paper, on simulated cameras."""

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_lab, xyz_to_lab
from brief.errors import ImageError, InputError
from brief.photo import Region
from brief.photo.correction.card import (
    CARDS,
    _bradford,
    correct_by_card,
    correct_by_two_cards,
    see_card,
)
from brief.photo.correction.correction import no_correction

from .doubt import Setting, survey
from .measured_cameras import CURVES, JUDGE, exposed, toned
from .rendered_chart import (
    CAMERAS,
    LIGHTS,
    Shot,
    colour_science,
    photographed,
    surface_reflectances,
    true_xyz,
)

CARD = Region(10, 10, 30, 40)
SECOND = Region(60, 10, 30, 40)
GREY, WHITE, PAPER = "grey card 18 %", "white card 90 %", "white paper"


def board_and_card(card, *, end=None, bench=(0.2, 0.14, 0.1), noise=2.0) -> Image.Image:
    """A card of a linear colour, or running to another at its right end, on a bench."""
    linear = np.tile(np.array(bench, dtype=float), (200, 300, 1))
    blend = np.linspace(0, 1, 120)[:, None]
    linear[10:120, 15:135] = np.array(card) * (1 - blend) + np.array(end or card) * blend
    levels = linear_to_srgb(np.clip(linear, 0, 1)) * 255
    levels += np.random.default_rng(0).normal(0, noise, levels.shape)
    return Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8))


def grey(shot: Shot, reflectance: float) -> np.ndarray:
    return shot.linear(np.full((1, 31), reflectance))[0]


@pytest.mark.slow
@pytest.mark.parametrize("balanced", [True, False], ids=["automatic balance", "as in daylight"])
def test_a_grey_card_halves_the_error_of_no_correction(balanced):
    """Measured cameras with a medium tone curve, its balance automatic or that of daylight.

    Not for each camera and light: where a camera does not tell a filament's light from daylight
    but for its white, the card cannot say so either.
    """
    setting = Setting(own=False, tone="medium", balanced=balanced)
    found = survey(JUDGE, setting, 24)
    assert found["grey card 18 %"].off.mean() <= 0.55 * found["nothing"].off.mean()


@pytest.mark.slow
def test_without_a_tone_curve_undoing_one_costs_less_than_the_card_gains():
    """Two more cameras, no curve, white exposed to 0.5 to 0.9 of the range: 289 surfaces."""
    surfaces = surface_reflectances()
    truth = xyz_to_lab(true_xyz(surfaces))
    by_card, without, covered = [], [], []
    for camera in CAMERAS:
        for light in LIGHTS:
            for exposure in (0.5, 0.6, 0.7, 0.8, 0.9):
                shot = Shot(camera, light, exposure=exposure)
                recorded = photographed(shot.linear(surfaces), np.random.default_rng(0))
                correction = correct_by_card(
                    board_and_card(grey(shot, 0.18)), CARD, "grey card 18 %"
                )
                by_card.append(delta_e_2000(correction.apply(recorded), truth))
                without.append(delta_e_2000(no_correction().apply(recorded), truth))
                covered.append(by_card[-1] <= correction.uncertainty)
    assert np.mean(by_card) <= 0.67 * np.mean(without)
    assert np.mean(covered) >= 0.8  # of cameras that hardly any maker has


@pytest.mark.parametrize("reference", CARDS)
def test_the_card_itself_comes_out_as_it_is(reference):
    image = board_and_card((0.5, 0.35, 0.2))
    correction = correct_by_card(image, CARD, reference)
    lab = correction.apply([0.5, 0.35, 0.2])
    expected = xyz_to_lab(np.array([0.9505, 1.0, 1.089]) * CARDS[reference].reflectance)
    assert float(delta_e_2000(lab, expected)) < 0.3


def test_adaptation_against_colour_science():
    from_white = np.array([1.0985, 1.0, 0.3558])  # light A, CIE 15
    theirs = colour_science.adaptation.matrix_chromatic_adaptation_VonKries(
        from_white, np.array([0.9505, 1.0, 1.089]), transform="Bradford"
    )
    np.testing.assert_allclose(_bradford(from_white), theirs, atol=1e-4)


def test_paper_leaves_more_doubt_than_a_card_and_both_less_than_nothing():
    image = board_and_card((0.5, 0.35, 0.2))
    doubts = {name: correct_by_card(image, CARD, name).uncertainty for name in CARDS}
    nothing = no_correction().uncertainty
    assert doubts["grey card 18 %"] < doubts["white paper"] < nothing
    assert doubts["grey card 18 %"] == pytest.approx(8.46, abs=0.05)


def test_uneven_light_on_the_card_adds_doubt():
    even = correct_by_card(board_and_card((0.4, 0.4, 0.4)), CARD)
    uneven = correct_by_card(board_and_card((0.42, 0.42, 0.42), end=(0.35, 0.35, 0.35)), CARD)
    assert uneven.uncertainty > even.uncertainty + 0.04
    assert uneven.residual > even.residual


def test_a_neutral_card_keeps_its_own_lightness_and_undoes_contrast_around_it():
    """What a camera darkened most, the darkest, comes out lighter; what it brightened, darker."""
    image = board_and_card((0.18, 0.18, 0.18), noise=0)
    correction = correct_by_card(image, CARD, "grey card 18 %")
    greys = np.array([0.01, 0.03, 0.18, 0.4])
    lightness = correction.apply(np.tile(greys[:, None], 3))[:, 0]
    shown = srgb_to_lab(linear_to_srgb(np.tile(greys[:, None], 3)))[:, 0]
    assert lightness[2] == pytest.approx(shown[2], abs=0.3)
    assert (lightness[:2] > shown[:2] + 0.5).all()
    assert lightness[3] > lightness[2]
    assert np.abs(correction.apply([0.1, 0.1, 0.1])[1:]).max() < 0.2  # grey stays grey


@pytest.mark.parametrize(
    ("card", "end", "said"),
    [
        ((1.2, 0.8, 0.6), None, r"The card is blown out: its red is at the end of its range"),
        ((0.5, 0.4, 1.1), None, r"its blue is at the end of its range over"),
        ((0.02, 0.01, 0.002), None, "too dark to measure by: its blue"),
        ((0.5, 0.5, 0.5), (0.15, 0.15, 0.15), r"not evenly lit: one part .* at least 75 %"),
        ((0.4, 0.2, 0.1), (0.1, 0.25, 0.6), "not one even surface"),
    ],
    ids=["red clipped", "blue clipped", "dark", "shaded", "two things"],
)
def test_a_card_that_cannot_be_measured_by_is_refused(card, end, said):
    with pytest.raises(ImageError, match=said):
        correct_by_card(board_and_card(card, end=end), CARD, "white card 90 %")


def test_paper_is_called_paper_when_it_is_refused():
    with pytest.raises(ImageError, match="The paper is blown out"):
        correct_by_card(board_and_card((1.1, 1.1, 1.1)), CARD, "white paper")


def test_a_region_that_reaches_beyond_the_card_is_refused():
    with pytest.raises(ImageError, match=r"keep the region inside it|not one even surface"):
        correct_by_card(board_and_card((0.8, 0.8, 0.8)), Region(20, 20, 70, 60))


def test_a_region_outside_the_picture_and_an_unknown_reference_are_refused():
    with pytest.raises(InputError, match="must lie inside the picture"):
        correct_by_card(board_and_card((0.5, 0.5, 0.5)), Region(80, 80, 40, 40))
    with pytest.raises(InputError, match=r"must be one of .*white paper; got “napkin”"):
        correct_by_card(board_and_card((0.5, 0.5, 0.5)), CARD, "napkin")


def test_a_brown_board_is_no_white_paper():
    """An even board of L 29, dark and strongly coloured, as rosewood is: invented."""
    board = board_and_card((0.09, 0.05, 0.02))
    with pytest.raises(ImageError, match="too dark for white; at least 20 % is needed"):
        correct_by_card(board, CARD, "white paper")
    assert correct_by_card(board, CARD, "grey card 18 %").kind == "card"  # which may be as dark


def test_a_card_that_fills_the_picture_leaves_nothing_to_correct():
    with pytest.raises(InputError, match="paper cannot be all of the picture: draw round it alone"):
        correct_by_card(board_and_card((0.6, 0.6, 0.6)), Region(0, 0, 100, 100), "white paper")


# Two cards


def two_cards(one, other, *, curve="none", lit=1.0) -> Image.Image:
    """Cards that give back those shares of the light, the second one's light times `lit`; white
    is exposed to three quarters of the range.
    """
    terms = CURVES[curve]
    linear = np.full((200, 300, 3), 0.1)
    linear[10:120, 15:135] = one
    linear[10:120, 170:290] = other * lit
    levels = linear_to_srgb(toned(linear * exposed(terms, 0.75), terms)) * 255
    levels += np.random.default_rng(0).normal(0, 2, levels.shape)
    return Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8))


def by_two(image, one=GREY, other=WHITE):
    return correct_by_two_cards(see_card(image, CARD, one), see_card(image, SECOND, other))


@pytest.mark.parametrize(
    ("curve", "most"), [("none", 0.55), ("a phone's", 0.55), ("Canon EOS 6D", 1.0)]
)
def test_two_cards_bring_other_greys_nearer_than_one(curve, most):
    """By half, whether there is no curve or a strong one; the last is nearly the typical one."""
    terms = CURVES[curve]
    greys = np.array([0.05, 0.1, 0.3, 0.5, 0.7])
    shown = np.tile(toned(greys * exposed(terms, 0.75), terms)[:, None], 3)
    truth = xyz_to_lab(np.array([0.9505, 1.0, 1.089]) * greys[:, None])
    image = two_cards(0.18, 0.9, curve=curve)
    one, two = (
        np.abs(correction.apply(shown)[:, 0] - truth[:, 0])
        for correction in (correct_by_card(image, CARD, GREY), by_two(image))
    )
    assert two.mean() < most * one.mean()
    assert two.max() < most * 1.2 * one.max()


def test_it_is_the_same_whichever_card_comes_first():
    image = two_cards(0.9, 0.18, curve="Canon EOS 6D")
    seen = see_card(image, CARD, WHITE), see_card(image, SECOND, GREY)
    assert correct_by_two_cards(*seen) == correct_by_two_cards(*reversed(seen))


def test_the_surer_card_says_what_the_light_was():
    """Grey and white differ in hue here, as paper with a whitener does: the card comes out grey."""
    image = two_cards(0.18, np.array([0.82, 0.85, 0.9]))
    lab = by_two(image, GREY, PAPER).apply(np.full(3, 0.18 * exposed(CURVES["none"], 0.75)))
    assert np.abs(lab[1:]).max() < 0.3


def test_two_cards_leave_less_doubt_than_either():
    image = two_cards(0.18, 0.87)
    doubts = [
        correction.uncertainty
        for correction in (
            by_two(image, GREY, PAPER),
            correct_by_card(image, CARD, GREY),
            correct_by_card(image, SECOND, PAPER),
        )
    ]
    assert doubts == sorted(doubts)
    assert doubts[0] == pytest.approx(7.76, abs=0.05)


@pytest.mark.parametrize(
    ("image", "cards", "error", "said"),
    [
        (two_cards(0.85, 0.9), (PAPER, WHITE), InputError, "one is grey and the other white"),
        (two_cards(0.18, 0.18), (GREY, GREY), InputError, "one is grey and the other white"),
        (two_cards(0.9, 0.5), (GREY, PAPER), ImageError, r"shows 0\.\d times .* too little"),
        (two_cards(0.18, 0.9, lit=0.45), (GREY, WHITE), ImageError, "too little for the same"),
        (two_cards(0.04, 0.9), (GREY, WHITE), ImageError, "too much for the same light on both"),
    ],
    ids=["both white", "both grey", "swapped", "in a shadow", "black for grey"],
)
def test_two_cards_that_tell_nothing_are_refused(image, cards, error, said):
    with pytest.raises(error, match=said):
        by_two(image, *cards)
