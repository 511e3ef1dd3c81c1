"""The nearest colours against a scan of all of them, and the bound that spares most of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000
from brief.colour.nearest import Nearest
from brief.errors import ColourInputError

LIGHTNESS, OPPONENT = st.floats(0, 100), st.floats(-128, 128)
LABS = st.tuples(LIGHTNESS, OPPONENT, OPPONENT)


def scanned(labs, target, count):
    distances = delta_e_2000(labs, target)
    order = np.argsort(distances, kind="stable")[:count]
    return order, distances[order]


def assert_like_a_scan(labs, target, count):
    found = Nearest(labs).to(target, count)
    order, distances = scanned(labs, target, count)
    np.testing.assert_array_equal(found.indices, order)
    np.testing.assert_allclose(found.distances, distances, rtol=0, atol=1e-12)


def test_lightness_bounds_the_difference(random_labs):
    """The bound itself, on colours well beyond what surfaces reach."""
    lab_1, lab_2 = random_labs(200_000)
    apart = np.abs(lab_1[:, 0] - lab_2[:, 0])
    assert (apart / 1.75 <= delta_e_2000(lab_1, lab_2)).all()


@given(LABS, LABS)
def test_lightness_bounds_the_difference_of_any_two(one, two):
    assert abs(one[0] - two[0]) / 1.75 <= delta_e_2000(one, two) + 1e-9


def test_the_bound_is_nearly_reached():
    """Two near-black greys: S_L at L* = 0 is 1.747, so that a bound of 1.74 would be wrong."""
    assert 0.02 / 1.75 < delta_e_2000([0, 0, 0], [0.02, 0, 0]) < 0.02 / 1.74


@pytest.mark.parametrize("count", [1, 20, 999])
@pytest.mark.parametrize("size", [1000, 30_000])
def test_as_a_full_scan(random_labs, size, count):
    labs, targets = random_labs(size)
    for target in targets[:8]:
        assert_like_a_scan(labs, target, count)


def test_a_target_far_from_all_the_woods():
    woods = np.random.default_rng(3).normal([55, 10, 22], [14, 5, 7], (30_000, 3))
    for target in ([60, -30, 10], [20, 20, -60], [0, 0, 0], [100, 0, 0]):
        assert_like_a_scan(woods, target, 20)


@given(st.lists(LABS, min_size=1, max_size=30), LABS, st.integers(1, 40))
def test_any_few_colours(labs, target, count):
    found = Nearest(labs).to(target, count)
    distances = scanned(labs, target, count)[1]
    np.testing.assert_allclose(found.distances, distances, rtol=0, atol=1e-9)
    assert len(set(found.indices.tolist())) == min(count, len(labs))


def test_of_equally_near_colours_the_first_given_comes_first():
    labs = np.tile([[50.0, 10, 10], [60, 5, 5], [40, 0, 0]], (7000, 1))
    found = Nearest(labs).to([50, 10, 10], 5)
    assert found.indices.tolist() == [0, 3, 6, 9, 12]
    assert (found.distances == 0).all()
    assert_like_a_scan(labs, [58, 5, 5], 7003)


def test_fewer_than_asked_for_are_all_returned():
    found = Nearest([[36, 9, 9], [84, 4, 20]]).to([80, 4, 20], 5)
    assert found.indices.tolist() == [1, 0]


def test_lightness_beyond_the_scale_is_still_exact(random_labs):
    labs = random_labs(3000)[0] * [3, 1, 1] - [100, 0, 0]
    assert_like_a_scan(labs, [-90, 4, 4], 20)
    assert_like_a_scan(labs, [190, 4, 4], 20)


@pytest.mark.parametrize(
    ("labs", "target", "count", "fault"),
    [
        (np.zeros((0, 3)), [50, 0, 0], 1, r"labs must have shape \(n, 3\), n of 1 or more"),
        ([50, 0, 0], [50, 0, 0], 1, r"labs must have shape \(n, 3\), n of 1 or more; got \(3,\)"),
        ([[50, 0, np.inf]], [50, 0, 0], 1, "labs must be finite"),
        ([[50, 0, 0]], [[50, 0, 0]], 1, r"target must be one colour of 3 numbers"),
        ([[50, 0, 0]], [50, 0, 0], 0, "count must be 1 or more; got 0"),
    ],
)
def test_bad_input_is_refused(labs, target, count, fault):
    with pytest.raises(ColourInputError, match=fault):
        Nearest(labs).to(target, count)
