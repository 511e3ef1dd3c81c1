"""CIEDE2000 against its published test data and three other implementations."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000, delta_e_2000_parts
from brief.colour.difference import small_differences
from brief.errors import ColourInputError

TABLE = Path(__file__).parents[1] / "published" / "sharma_2005.csv"
PAIRS = np.loadtxt(TABLE, delimiter=",", skiprows=6)
PUBLISHED_TOLERANCE = 5e-5  # the table prints 4 decimals

LIGHTNESS = st.floats(0, 100)
OPPONENT = st.floats(-128, 128)
LABS = st.tuples(LIGHTNESS, OPPONENT, OPPONENT)


def test_the_table_is_complete():
    assert PAIRS.shape == (34, 7)


@pytest.mark.parametrize("pair", PAIRS, ids=[f"pair-{n}" for n in range(1, 35)])
def test_published_pairs_in_both_orders(pair):
    """Sharma, Wu and Dalal (2005), Table 1. Pairs 10 and 14 are exactly 180° apart in hue."""
    lab_1, lab_2, published = pair[:3], pair[3:6], pair[6]
    for difference in (delta_e_2000(lab_1, lab_2), delta_e_2000(lab_2, lab_1)):
        assert abs(difference - published) <= PUBLISHED_TOLERANCE


def test_published_pairs_as_one_array():
    difference = delta_e_2000(PAIRS[:, :3], PAIRS[:, 3:6])
    np.testing.assert_allclose(difference, PAIRS[:, 6], rtol=0, atol=PUBLISHED_TOLERANCE)


@pytest.mark.parametrize("nudge", [-1e-14, 1e-14])
@pytest.mark.parametrize("number", [10, 14])
def test_exactly_opposite_hues_survive_the_last_bit(number, nudge):
    """Another arctangent may put these hues a hair beyond 180°, where the formula jumps."""
    pair = PAIRS[number - 1]
    for lab_1, lab_2 in ((pair[:3], pair[3:6]), (pair[3:6], pair[:3])):
        nudged = np.add(lab_1, [0, 0, nudge])
        assert abs(delta_e_2000(nudged, lab_2) - pair[6]) <= PUBLISHED_TOLERANCE


@pytest.mark.slow
def test_a_million_random_pairs_match_colour_science(reference, random_labs):
    lab_1, lab_2 = random_labs(1_000_000)
    expected = reference.difference.delta_E_CIE2000(lab_1, lab_2)
    np.testing.assert_allclose(delta_e_2000(lab_1, lab_2), expected, rtol=0, atol=1e-9)


def test_nearly_opposite_hues_match_colour_science(reference):
    """Where the bisector shrinks to nothing; random pairs hardly ever come here."""
    rng = np.random.default_rng(14)
    count = 20_000
    hue = rng.uniform(0, 2 * np.pi, count)
    away = rng.choice([-1, 1], count) * 10 ** rng.uniform(-6, -1, count)
    chroma_1, chroma_2 = rng.uniform(1, 120, (2, count))
    # a' is a stretched, so opposite hues in (a', b') need opposite hues in (a, b).
    lab_1 = np.stack([np.full(count, 50), chroma_1 * np.cos(hue), chroma_1 * np.sin(hue)], -1)
    turned = hue + np.pi + away
    lab_2 = np.stack([np.full(count, 60), chroma_2 * np.cos(turned), chroma_2 * np.sin(turned)], -1)
    expected = reference.difference.delta_E_CIE2000(lab_1, lab_2)
    np.testing.assert_allclose(delta_e_2000(lab_1, lab_2), expected, rtol=0, atol=1e-9)


def test_colormath_matrix_function_agrees(random_labs):
    from colormath.color_diff_matrix import delta_e_cie2000

    labs, (lab, *_) = random_labs(1000)
    np.testing.assert_allclose(delta_e_2000(lab, labs), delta_e_cie2000(lab, labs), atol=1e-9)


def test_parts_match_the_intermediate_values_of_colour_science(reference, random_labs):
    lab_1, lab_2 = random_labs(10_000)
    expected = reference.difference.delta_e.intermediate_attributes_CIE2000(lab_1, lab_2)
    parts = delta_e_2000_parts(lab_1, lab_2)
    # colour-science takes the first colour less the second.
    lightness = -expected.delta_L_p / expected.S_L
    chroma, hue = -expected.delta_C_p / expected.S_C, -expected.delta_H_p / expected.S_H
    np.testing.assert_allclose(np.abs(parts.lightness), np.abs(lightness), atol=1e-9)
    np.testing.assert_allclose(np.abs(parts.chroma), np.abs(chroma), atol=1e-9)
    np.testing.assert_allclose(np.abs(parts.hue), np.abs(hue), atol=1e-9)
    np.testing.assert_allclose(parts.rotation, expected.R_T * chroma * hue, atol=1e-9)


def test_parts_add_up_to_the_total(random_labs):
    lab_1, lab_2 = random_labs(10_000)
    parts = delta_e_2000_parts(lab_1, lab_2)
    squared = parts.lightness**2 + parts.chroma**2 + parts.hue**2 + parts.rotation
    np.testing.assert_allclose(parts.total**2, squared, rtol=1e-12)
    np.testing.assert_array_equal(parts.total, delta_e_2000(lab_1, lab_2))


def test_parts_are_signed_second_less_first():
    parts = delta_e_2000_parts([40, 20, 5], [60, 30, 20])
    assert parts.lightness > 0
    assert parts.chroma > 0
    assert parts.hue > 0  # from red towards yellow
    back = delta_e_2000_parts([60, 30, 20], [40, 20, 5])
    assert (back.lightness, back.chroma, back.hue) == (-parts.lightness, -parts.chroma, -parts.hue)
    assert back.total == parts.total


@given(LABS, LABS)
def test_symmetric_finite_and_not_negative(lab_1, lab_2):
    difference = delta_e_2000(lab_1, lab_2)
    assert np.isfinite(difference)
    assert difference >= 0
    assert difference == delta_e_2000(lab_2, lab_1)


@given(LABS)
def test_nothing_lies_between_a_colour_and_itself(lab):
    assert delta_e_2000(lab, lab) == 0


@given(st.lists(LABS, min_size=1, max_size=8), LABS)
def test_a_list_gives_what_its_colours_give_one_by_one(labs, other):
    one_by_one = [float(delta_e_2000(lab, other)) for lab in labs]
    np.testing.assert_allclose(delta_e_2000(labs, other), one_by_one, rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize(
    ("shape_1", "shape_2", "shape"),
    [
        ((3,), (3,), ()),
        ((5, 3), (3,), (5,)),
        ((4, 1, 3), (1, 6, 3), (4, 6)),
        ((90, 110, 3), (3,), (90, 110)),
        ((0, 3), (3,), (0,)),
        ((90, 1, 3), (110, 3), (90, 110)),  # more than one block
    ],
)
def test_leading_axes_broadcast(shape_1, shape_2, shape, random_labs):
    lab_1 = random_labs(int(np.prod(shape_1)) // 3)[0].reshape(shape_1)
    lab_2 = random_labs(int(np.prod(shape_2)) // 3)[1].reshape(shape_2)
    difference = delta_e_2000(lab_1, lab_2)
    assert difference.shape == shape
    full_1, full_2 = np.broadcast_arrays(lab_1, lab_2)
    flat = delta_e_2000(full_1.reshape(-1, 3), full_2.reshape(-1, 3))
    np.testing.assert_array_equal(difference.ravel(), flat)


def test_inputs_are_left_as_they_were(random_labs):
    lab_1, lab_2 = random_labs(100)
    kept = lab_1.copy(), lab_2.copy()
    delta_e_2000_parts(lab_1, lab_2)
    np.testing.assert_array_equal(lab_1, kept[0])
    np.testing.assert_array_equal(lab_2, kept[1])


@pytest.mark.parametrize("lab", [(45, 14, 24), (82, 3, 15), (20, 1, -1), (60, -30, 40), (5, 8, 0)])
def test_small_differences_are_the_parts_of_small_steps(lab):
    """Each part, with its sign, and by them the total of a step in any direction."""
    colour, step = np.array(lab, dtype=float), 1e-4
    ways = np.vstack([np.eye(3), np.random.default_rng(1).normal(size=(20, 3))])
    parts = delta_e_2000_parts(colour - step / 2 * ways, colour + step / 2 * ways)
    known = np.stack([parts.lightness, parts.chroma, parts.hue], axis=1) / step
    np.testing.assert_allclose(ways @ small_differences(colour).T, known, rtol=1e-5, atol=1e-6)


def test_greys_and_vanishing_chroma_are_finite():
    tiny = [[50, 0, 0], [50, -0.0, -0.0], [50, 1e-160, -1e-160], [50, 1e-310, 0], [50, 60, -1e-300]]
    difference = delta_e_2000(np.array(tiny)[:, None], np.array(tiny)[None])
    assert np.isfinite(difference).all()
    assert np.abs(difference[:4, :4]).max() < 1e-60


def test_weights_follow_the_formula(reference, random_labs):
    """k_L = 2 is the textile weighting of CIE 142-2001."""
    lab_1, lab_2 = random_labs(1000)
    expected = reference.difference.delta_E_CIE2000(lab_1, lab_2, textiles=True)
    np.testing.assert_allclose(delta_e_2000(lab_1, lab_2, k_l=2), expected, atol=1e-9)
    parts = delta_e_2000_parts(lab_1, lab_2)
    by_hand = np.sqrt(
        (parts.lightness / 2) ** 2
        + (parts.chroma / 3) ** 2
        + (parts.hue / 5) ** 2
        + parts.rotation / 15
    )
    np.testing.assert_allclose(delta_e_2000(lab_1, lab_2, k_l=2, k_c=3, k_h=5), by_hand)


@pytest.mark.parametrize("weight", [0, -1, float("nan"), float("inf")])
@pytest.mark.parametrize("name", ["k_l", "k_c", "k_h"])
def test_weights_must_be_above_nothing(name, weight):
    with pytest.raises(ColourInputError, match=f"{name} must be a number above 0; got {weight}"):
        delta_e_2000([50, 0, 0], [60, 0, 0], **{name: weight})


def test_shapes_that_do_not_go_together_are_refused():
    with pytest.raises(ColourInputError, match=r"go together; got \(2, 3\) and \(4, 3\)"):
        delta_e_2000(np.zeros((2, 3)), np.zeros((4, 3)))


def test_bad_colours_are_refused():
    with pytest.raises(ColourInputError, match="lab_2 must be finite"):
        delta_e_2000([50, 0, 0], [50, np.nan, 0])
    with pytest.raises(ColourInputError, match=r"lab_1 must have 3 numbers"):
        delta_e_2000_parts([50, 0], [50, 0, 0])
