"""The nearest colours, against looking at all of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from brief.colour import delta_e_2000
from brief.colour.nearest import S_L_MOST, Nearest
from brief.errors import ColourInputError

rng = np.random.default_rng(3)


def colours(count):
    return rng.uniform([0, -100, -100], [100, 100, 100], (count, 3))


def by_looking_at_all(labs, target, count):
    far = delta_e_2000(labs, target)
    places = np.lexsort((np.arange(len(labs)), far))[:count]
    return places, far[places]


@pytest.mark.parametrize("size", [1, 5, 40, 3000, 50_000])
@pytest.mark.parametrize("count", [1, 7, 20])
def test_it_is_what_looking_at_all_finds(size, count):
    labs = colours(size)
    for target in [*colours(4), labs[0], [0, 0, 0], [100, 0, 0]]:
        places, far = Nearest(labs).to(target, count)
        expected, expected_far = by_looking_at_all(labs, target, count)
        np.testing.assert_array_equal(places, expected)
        np.testing.assert_array_equal(far, expected_far)


def test_of_equals_the_first_comes_first():
    labs = np.repeat([[50.0, 10, 10], [50.0, -10, 10]], 300, axis=0)[rng.permutation(600)]
    places, _ = Nearest(labs).to([50, 10, 10], 5)
    assert places.tolist() == np.flatnonzero(labs[:, 1] == 10)[:5].tolist()


LAB = st.tuples(st.floats(0, 100), st.floats(-128, 128), st.floats(-128, 128))


@given(LAB, LAB)
def test_lightness_bounds_the_difference(one, other):
    """What the search stands on: |ΔL| / 1.75 never exceeds CIEDE2000."""
    assert abs(one[0] - other[0]) / S_L_MOST <= float(delta_e_2000(one, other)) + 1e-9


@given(arrays(np.float64, (30, 3), elements=st.floats(0, 100)), LAB)
def test_any_colours(labs, target):
    places, far = Nearest(labs).to(target, 4)
    expected, expected_far = by_looking_at_all(labs, target, 4)
    np.testing.assert_array_equal(far, expected_far)
    np.testing.assert_array_equal(places, expected)


@pytest.mark.parametrize(
    ("labs", "said"),
    [
        ([50, 0, 0], r"labs must have shape \(n, 3\); got \(3,\)"),
        ([[101, 0, 0]], "lightness must be 0 to 100 throughout"),
        ([[50, 0, np.nan]], "labs must be finite"),
    ],
)
def test_bad_colours_are_refused(labs, said):
    with pytest.raises(ColourInputError, match=said):
        Nearest(labs)


@pytest.mark.parametrize(
    ("target", "count", "said"),
    [
        ([50, 0, 0], 0, "count must be 1 or more; got 0"),
        ([-1, 0, 0], 1, "lightness must be 0 to 100; got -1"),
        ([[50, 0, 0]], 1, "lab must be one colour of 3 numbers"),
    ],
)
def test_bad_questions_are_refused(target, count, said):
    with pytest.raises(ColourInputError, match=said):
        Nearest([[50, 0, 0]]).to(target, count)
