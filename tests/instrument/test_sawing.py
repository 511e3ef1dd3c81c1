"""What a board yields: in the wood, apart by the kerf, and as much as there is room for.

Shapely and a count of all rectangles are what it is checked against.
"""

import itertools
import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given, settings
from hypothesis import strategies as st

from brief.instrument.model.sawing import Missed, Rectangle, lay_out


def plank(length, width, cell=1.0):
    return np.ones((round(width / cell), round(length / cell)), dtype=bool)


def box(one):
    return shapely.box(one.x_mm, one.y_mm, one.x_mm + one.length_mm, one.y_mm + one.width_mm)


def rastered(board, cell=1.0):
    left, low, right, high = board.bounds
    assert (left, low) == (0, 0)
    x, y = np.meshgrid(
        np.arange(0.5, math.ceil(right / cell)) * cell,
        np.arange(0.5, math.ceil(high / cell)) * cell,
    )
    return shapely.contains_xy(board, x, y)


@given(
    st.lists(st.tuples(st.floats(20, 90), st.floats(8, 40)), min_size=1, max_size=7),
    st.floats(0, 4),
    st.lists(st.floats(0, 25), min_size=8, max_size=8),
    st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_every_blank_is_within_the_wood_and_the_kerf_away_from_the_others(
    blanks, kerf, wane, turns
):
    """The board's edges wander and it has a knot; shapely tells what is within and how far off."""
    top = [(20 * i, wane[i]) for i in range(8)]
    board = shapely.Polygon([*top, (150, 90), (0, 90)]) | shapely.box(0, 0, 0.1, 90)
    board = (board - shapely.Point(70, 55).buffer(9)).buffer(0)
    board = shapely.affinity.translate(board, -board.bounds[0], -board.bounds[1])
    laid = lay_out(rastered(board), 1.0, blanks, kerf, turns=turns)
    roomy = board.buffer(0.75)  # squares count as they are at their middles
    places = [one for one in laid.places if isinstance(one, Rectangle)]
    assert all(roomy.contains(box(one)) for one in (*places, *laid.left))
    for one, other in itertools.combinations(places, 2):
        assert box(one).distance(box(other)) >= kerf - 1e-6
    for one, other in itertools.combinations((*places, *laid.left), 2):
        assert box(one).intersection(box(other)).area < 1e-6
    for one, asked in zip(laid.places, blanks, strict=True):
        if isinstance(one, Rectangle):
            sides = [one.length_mm, one.width_mm]
            assert sides == list(asked) or (turns and sides == list(asked[::-1]))


def test_a_board_that_its_blanks_just_fill_is_filled():
    """Two and two of 50 × 20 with a cut of 2 between: 102 × 42, and not a millimetre less."""
    blanks = [(50, 20)] * 4
    full = lay_out(plank(102, 42), 1.0, blanks, 2.0)
    assert all(isinstance(one, Rectangle) for one in full.places)
    assert not full.left
    less = lay_out(plank(101, 42), 1.0, blanks, 2.0)
    assert sum(isinstance(one, Missed) for one in less.places) == 2


def test_a_blank_that_is_too_long_is_told_how_long_it_may_be():
    """By hand: a plank of 600 × 80 with a notch of 100 × 30 in a corner."""
    wood = plank(600, 80)
    wood[:30, :100] = False
    (one,) = lay_out(wood, 1.0, [(640, 60)], 1.0).places
    assert one == Missed(longest_mm=500, widest_mm=0, alone=False)
    (one,) = lay_out(wood, 1.0, [(560, 60)], 1.0).places
    assert one == Missed(longest_mm=500, widest_mm=50, alone=False)
    first, other = lay_out(wood, 1.0, [(480, 60), (450, 70)], 1.0).places
    assert isinstance(other, Rectangle)
    assert first == Missed(longest_mm=500, widest_mm=80, alone=True)


def test_only_what_has_no_grain_lies_across():
    wood = plank(100, 60)
    blanks = [(55, 90)]
    assert isinstance(lay_out(wood, 1.0, blanks, 1.0).places[0], Missed)
    (across,) = lay_out(wood, 1.0, blanks, 1.0, turns=True).places
    assert (across.length_mm, across.width_mm) == (90, 55)


@given(st.integers(0, 2**32 - 1), st.floats(0.02, 0.2))
@settings(max_examples=25, deadline=None)
def test_the_first_offcut_is_the_largest_rectangle_of_all(seed, holes):
    """Against a count of every rectangle of a small board."""
    random = np.random.default_rng(seed)
    coarse = random.random((9, 14)) > holes
    wood = coarse.repeat(20, axis=0).repeat(20, axis=1)
    best = 0
    for top, left in itertools.product(range(9), range(14)):
        for low, right in itertools.product(range(top + 1, 10), range(left + 1, 15)):
            if coarse[top:low, left:right].all():
                long, wide = 20 * (right - left), 20 * (low - top)
                best = max(best, long * wide)
    found = lay_out(wood, 1.0, [], 1.0).left
    if found:
        assert found[0].length_mm * found[0].width_mm == best
    else:
        assert best < 80 * 80


def test_sizes_are_kept_exactly_in_coarse_squares_too():
    (one,) = lay_out(plank(600, 200, 2.0), 2.0, [(511.3, 101.7)], 0.8).places
    assert (one.length_mm, one.width_mm) == (511.3, 101.7)
    assert one.x_mm == pytest.approx(0)
