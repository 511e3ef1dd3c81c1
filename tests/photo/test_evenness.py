"""Uneven light: told from white around a board, evened out, and told as doubtful without it."""

import numpy as np
import pytest
from PIL import Image

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.errors import ImageError, InputError
from brief.photo import Region, Selection, measure_patch
from brief.photo.correction.chart import find_chart
from brief.photo.correction.evenness import (
    GAP,
    Evenness,
    evenness_by_surround,
    evenness_of_board,
    evenness_of_chart,
)
from brief.photo.files.intake import open_pixels

from .rendered_chart import Shot, chart_reflectances, draw_chart

BOARD, SHEET = Region(25, 30, 50, 40), Region(5, 8, 90, 84)
WALNUT = np.array([0.14, 0.085, 0.05])
LAMP = np.array([0.75, 0.7, 0.6])


def light_on(size, fall, bow=0.0, tint=0.0) -> np.ndarray:
    """Shape (h, w, 3): falls to the right and upwards, bows in the middle, is warmer on a side."""
    x, y = np.meshgrid(np.linspace(-1, 1, size[0]), np.linspace(-1, 1, size[1]))
    light = np.exp(-fall * (x - 0.5 * y) / 2 - bow * (x**2 + y**2))
    return light[..., None] * np.exp(tint * x[..., None] * np.array([0.5, 0.0, -0.5]))


def photograph(light, *, wood=WALNUT, paper=LAMP, bench=(0.05, 0.04, 0.03), dirt=0.0):
    """A board on a sheet of white on a bench; dirt is the share of the sheet that is covered."""
    height, width = light.shape[:2]
    linear = np.tile(np.array(bench, dtype=float), (height, width, 1))
    for region, colour in ((SHEET, paper), (BOARD, wood)):
        left, top, right, bottom = region.box(width, height)
        linear[top:bottom, left:right] = colour
        if region is SHEET:
            rng = np.random.default_rng(0)
            speck = rng.uniform(size=(bottom - top, right - left)) < dirt
            linear[top:bottom, left:right][speck] = bench
    rng = np.random.default_rng(1)
    levels = linear_to_srgb(np.clip(linear * light, 0, 1)) * 255
    levels += rng.normal(0, 1.5, levels.shape)
    return Image.fromarray(np.clip(np.rint(levels), 0, 255).astype(np.uint8))


def flattened(evenness: Evenness, image: Image.Image) -> Image.Image:
    return evenness.flatten(open_pixels(image)).rgb


def true_end_to_end(light) -> float:
    """Of the board's mean colour, between where it gets most light and where least."""
    left, top, right, bottom = BOARD.box(light.shape[1], light.shape[0])
    on_board = light[top:bottom, left:right].reshape(-1, 3)
    order = (on_board @ SRGB_TO_XYZ[1]).argsort()
    ends = WALNUT * on_board[order[[0, -1]]]
    lab = xyz_to_lab(ends @ SRGB_TO_XYZ.T)
    return float(delta_e_2000(lab[0], lab[1]))


@pytest.mark.parametrize(
    ("fall", "bow", "tint"),
    [(0.0, 0.0, 0.0), (0.4, 0.0, 0.0), (0.3, 0.2, 0.0), (0.2, 0.1, 0.3)],
    ids=["even", "falling", "bowed", "two lamps"],
)
def test_light_on_a_board_is_told_and_evened_out(fall, bow, tint):
    light = light_on((300, 240), fall, bow, tint)
    image = photograph(light)
    evenness = evenness_by_surround(image, BOARD, SHEET)
    assert evenness.end_to_end == pytest.approx(true_end_to_end(light), abs=0.4)
    flat = flattened(evenness, image)
    left, right = Region(26, 32, 8, 36), Region(66, 32, 8, 36)
    ends = [measure_patch(flat, [Selection(end)]).lab for end in (left, right)]
    assert float(delta_e_2000(*ends)) < 0.4
    # What was even stays where it was, in the middle of the range of the light.
    whole = measure_patch(image, [Selection(BOARD)]).lab
    assert float(delta_e_2000(measure_patch(flat, [Selection(BOARD)]).lab, whole)) < 0.6


def test_flattening_takes_a_picture_of_any_size():
    evenness = evenness_by_surround(photograph(light_on((300, 240), 0.35)), BOARD, SHEET)
    large = photograph(light_on((640, 512), 0.35))
    flat = flattened(evenness, large)
    assert flat.size == large.size
    ends = [measure_patch(flat, [Selection(Region(x, 32, 8, 36))]).lab for x in (26, 66)]
    assert float(delta_e_2000(*ends)) < 0.4


def test_specks_and_a_pencil_on_the_sheet_do_no_harm():
    light = light_on((300, 240), 0.4)
    clean = evenness_by_surround(photograph(light), BOARD, SHEET)
    specked = evenness_by_surround(photograph(light, dirt=0.1), BOARD, SHEET)
    assert specked.end_to_end == pytest.approx(clean.end_to_end, abs=0.4)


def test_white_on_two_sides_gives_a_plane():
    light = light_on((300, 240), 0.4)
    strip = Region(BOARD.x - 15, BOARD.y, BOARD.w + 30, BOARD.h)
    evenness = evenness_by_surround(photograph(light), BOARD, strip)
    assert evenness.end_to_end == pytest.approx(true_end_to_end(light), abs=0.6)
    assert all(row[3:] == (0, 0, 0) for row in evenness.surface)


def test_a_board_by_itself_may_be_light_or_wood():
    falling = evenness_of_board(photograph(light_on((300, 240), 0.4)), BOARD)
    assert falling.end_to_end == pytest.approx(true_end_to_end(light_on((300, 240), 0.4)), abs=0.4)
    assert evenness_of_board(photograph(light_on((300, 240), 0.0)), BOARD).end_to_end < 0.3
    assert "nobody can tell" in falling.sentence
    with pytest.raises(InputError, match="told from the board"):
        flattened(falling, photograph(light_on((300, 240), 0.4)))


@pytest.mark.parametrize("fall", [0.0, 0.2, 0.4])
def test_light_across_a_chart(fall):
    patches = Shot("Nikon 5100 (NPL)", "D50").linear(chart_reflectances())
    evenness = evenness_of_chart(find_chart(draw_chart(patches, slope=(fall, 0))), "before-2014")
    lab = xyz_to_lab(0.184 * np.outer([1 - fall / 2, 1 + fall / 2], SRGB_TO_XYZ.sum(axis=1)))
    assert evenness.end_to_end == pytest.approx(float(delta_e_2000(lab[0], lab[1])), abs=1.2)
    assert evenness.sentence.startswith("The light differs by")


def test_sentences_say_what_is_known():
    image = photograph(light_on((300, 240), 0.4))
    assert (
        "it is evened out by the white around it"
        in evenness_by_surround(image, BOARD, SHEET).sentence
    )


@pytest.mark.parametrize(
    ("options", "surround", "error", "said"),
    [
        ({}, Region(25, 8, 50, 62), InputError, "two opposite sides .* got 0.0 at the left"),
        ({}, Region(24, 29, 52, 42), InputError, "two opposite sides"),
        ({"paper": (1.5, 1.4, 1.2)}, SHEET, ImageError, "white round the board is blown out"),
    ],
    ids=["one side", "too narrow", "blown out"],
)
def test_a_surround_that_cannot_be_used_is_refused(options, surround, error, said):
    with pytest.raises(error, match=said):
        evenness_by_surround(photograph(light_on((300, 240), 0.2), **options), BOARD, surround)


def test_a_surround_of_many_things_is_no_sheet():
    image = photograph(light_on((300, 240), 0.2))
    rng = np.random.default_rng(0)
    clutter = Image.fromarray(rng.integers(20, 240, (12, 15, 3), dtype=np.uint8))
    image.paste(clutter.resize((300, 240), Image.Resampling.NEAREST), (0, 0))
    with pytest.raises(ImageError, match="not one white sheet: only"):
        evenness_by_surround(image, BOARD, SHEET)


def test_too_little_white_is_refused():
    image = photograph(light_on((40, 30), 0.2))
    with pytest.raises(InputError, match="too little white round the board"):
        evenness_by_surround(image, Region(30, 40, 40, 20), Region(20, 40, 60, 20))


def test_flattening_keeps_to_the_range():
    evenness = evenness_by_surround(photograph(light_on((300, 240), 0.4)), BOARD, SHEET)
    white = Image.new("RGB", (60, 40), (255, 255, 255))
    flat = np.asarray(flattened(evenness, white))
    assert flat.max() == 255
    assert float(srgb_to_linear(flat / 255).min()) > 0.3


@pytest.mark.parametrize(("covered", "enough"), [(960, True), (961, False)])
def test_at_least_six_tenths_of_the_surround_must_be_the_sheet(covered, enough):
    """As the refusal says. Of 50 by 50 pixels 10 by 10 are board, so 2,400 lie round it."""
    board = Region(40 + GAP, 40 + GAP, 20 - 2 * GAP, 20 - 2 * GAP)
    levels = np.full((50, 50, 3), 200, dtype=np.uint8)
    around = np.ones((50, 50), dtype=bool)
    around[20:30, 20:30] = False
    places = np.random.default_rng(3).permutation(np.argwhere(around))[:covered]
    levels[tuple(places.T)] = 20
    given = Image.fromarray(levels), board, Region(0, 0, 100, 100)
    if enough:
        assert evenness_by_surround(*given).end_to_end == pytest.approx(0, abs=0.01)
    else:
        with pytest.raises(ImageError, match=r"only 60 % .* at least 60 % must be"):
            evenness_by_surround(*given)
