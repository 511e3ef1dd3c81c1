"""Harmony after Ou and Luo (2006).

The paper's sample scores could not be had, and copies of the formula in circulation often go
wrong. The rows below are therefore our own check values, worked out separately from the published
formula; the single terms are checked by hand.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import pair_harmony
from brief.errors import ColourInputError

OWN_CHECK_VALUES = [
    ([50, 0, 0], [50, 0, 0], 0.3919, -0.1313, -0.0093, 0.2514),
    ([80, 0, 0], [30, 0, 0], 0.3919, 0.2471, -0.0093, 0.6298),
    ([80, 0, 60], [30, 20, -40], -0.4894, 0.2471, 0.0711, -0.1712),
    ([75, 8, 25], [30, 8, 8], 0.1508, 0.2011, -0.3547, -0.0028),
    ([85, 3, 18], [25, 3, 3], 0.1970, 0.2471, -0.1275, 0.3165),
    ([40, 15, 20], [45, 30, 25], 0.1737, -0.1741, -0.4294, -0.4297),
    ([60, 20, 30], [60, -20, -30], -0.4821, 0.0702, -0.1062, -0.5180),
]
LABS = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@pytest.mark.parametrize(
    ("lab_1", "lab_2", "chromatic", "lightness", "hue", "total"), OWN_CHECK_VALUES
)
def test_own_check_values(lab_1, lab_2, chromatic, lightness, hue, total):
    harmony = pair_harmony(lab_1, lab_2)
    found = harmony.chromatic, harmony.lightness, harmony.hue, harmony.total
    np.testing.assert_allclose(found, (chromatic, lightness, hue, total), rtol=0, atol=5e-5)


def test_chromatic_term_by_hand():
    """Same hue, chroma 10 and 24.6: Δc = 14.6 / 1.46 = 10, so HC = 0.04 + 0.53 tanh 0.35."""
    harmony = pair_harmony([50, 10, 0], [50, 24.6, 0])
    assert harmony.chromatic == pytest.approx(0.04 + 0.53 * math.tanh(0.35), abs=1e-12)


def test_hue_difference_is_metric_not_an_angle():
    """Opposite hues of chroma 5: ΔH* = 2 √25 sin 90° = 10, though the angle is 180."""
    harmony = pair_harmony([50, 5, 0], [50, -5, 0])
    assert harmony.chromatic == pytest.approx(0.04 + 0.53 * math.tanh(0.35), abs=1e-12)


def test_lightness_terms_by_hand():
    """L of 70 and 60: sum 130, difference 10, so tanh(-0.11) and tanh(0)."""
    harmony = pair_harmony([70, 0, 0], [60, 0, 0])
    assert harmony.lightness == pytest.approx(0.28 + 0.54 * math.tanh(-0.11) + 0.14, abs=1e-12)


def test_hue_term_by_hand():
    """A yellow of hue 90°, chroma 40, L 90: the yellow effect is (0.22 · 90 - 12.8) / 10 · e⁻¹."""
    chroma_effect = 0.5 + 0.5 * math.tanh(-2 + 0.5 * 40)
    hue_effect = -0.08 - 0.14 * math.sin(math.radians(140)) - 0.07 * math.sin(math.radians(270))
    of_yellow = chroma_effect * (hue_effect + 0.7 * math.exp(-1))
    assert pair_harmony([90, 0, 40], [90, 0, 40]).hue == pytest.approx(2 * of_yellow, abs=1e-12)


def test_a_grey_has_hardly_any_hue_effect():
    """EC of no chroma: 0.5 + 0.5 tanh(-2) = 0.0180."""
    chroma_effect = 0.5 + 0.5 * math.tanh(-2)
    assert chroma_effect == pytest.approx(0.0180, abs=5e-5)
    hue_effect = -0.08 - 0.14 * math.sin(math.radians(50)) - 0.07
    yellow = (0.22 * 50 - 12.8) / 10 * math.exp(9 - math.exp(9))
    expected = 2 * chroma_effect * (hue_effect + yellow)
    assert pair_harmony([50, 0, 0], [50, 0, 0]).hue == pytest.approx(expected, abs=1e-12)


@given(LABS, LABS)
def test_parts_add_up_and_order_does_not_matter(lab_1, lab_2):
    harmony, other_way = pair_harmony(lab_1, lab_2), pair_harmony(lab_2, lab_1)
    assert harmony.total == pytest.approx(harmony.chromatic + harmony.lightness + harmony.hue)
    assert harmony.total == pytest.approx(other_way.total, abs=1e-12)
    assert 0.04 - 0.53 <= harmony.chromatic <= 0.04 + 0.53 * math.tanh(0.8)
    assert 0.28 - 0.54 + 0.14 - 0.15 <= harmony.lightness <= 0.28 + 0.54 + 0.14 + 0.15


@pytest.mark.parametrize(
    ("shape_1", "shape_2", "shape"),
    [((3,), (3,), ()), ((5, 3), (3,), (5,)), ((4, 1, 3), (6, 3), (4, 6))],
)
def test_leading_axes_broadcast(shape_1, shape_2, shape):
    harmony = pair_harmony(np.full(shape_1, 40.0), np.full(shape_2, 20.0))
    for part in (harmony.total, harmony.chromatic, harmony.lightness, harmony.hue):
        assert np.shape(part) == shape


def test_bad_colours_are_refused():
    with pytest.raises(ColourInputError, match=r"go together; got \(2, 3\) and \(4, 3\)"):
        pair_harmony(np.zeros((2, 3)), np.zeros((4, 3)))
    with pytest.raises(ColourInputError, match="lab_1 must be finite"):
        pair_harmony([np.nan, 0, 0], [50, 0, 0])
