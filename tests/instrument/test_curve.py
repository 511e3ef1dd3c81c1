"""The smooth curve through stations."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.instrument.curve import mirrored, number, path_data, polygon, smooth


def point_at(segment, t):
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return tuple(sum(w * p[axis] for w, p in zip(weights, segment, strict=True)) for axis in (0, 1))


HALVES = st.lists(st.tuples(st.floats(5, 200), st.floats(5, 60)), min_size=3, max_size=12).map(
    # Half widths at growing distances, closed on the centre line at both ends.
    lambda rows: [
        (0.0, 0.0),
        *((w, 10 + sum(d for _, d in rows[:i])) for i, (w, _) in enumerate(rows)),
        (0.0, 20 + sum(d for _, d in rows)),
    ]
)


@given(HALVES)
def test_a_closed_outline_stays_within_its_stations_and_is_symmetric(half):
    segments = smooth(mirrored(half), closed=True)
    widest, tail = max(x for x, _ in half), half[-1][1]
    steps = [t / 8 for t in range(9)]
    right = [point_at(s, t) for s in segments[: len(half) - 1] for t in steps]
    left = [point_at(s, 1 - t) for s in reversed(segments[len(half) - 1 :]) for t in steps]
    assert len(right)
    for (x, y), (mirror_x, mirror_y) in zip(right, left, strict=True):
        assert -1e-6 <= x <= widest + 1e-6
        assert -1e-6 <= y <= tail + 1e-6
        assert (mirror_x, mirror_y) == pytest.approx((-x, y), abs=1e-6)


@given(HALVES)
def test_the_curve_has_no_kink(half):
    segments = smooth(mirrored(half), closed=True)
    assert segments
    for before, after in zip(segments, [*segments[1:], segments[0]], strict=True):
        assert before[3] == after[0]
        arriving = [b - a for a, b in zip(before[2], before[3], strict=True)]
        leaving = [b - a for a, b in zip(after[0], after[1], strict=True)]
        if math.hypot(*arriving) < 1e-6 or math.hypot(*leaving) < 1e-6:
            continue  # a stop has no direction
        turn = math.atan2(
            arriving[0] * leaving[1] - arriving[1] * leaving[0],
            arriving[0] * leaving[0] + arriving[1] * leaving[1],
        )
        assert abs(turn) < 1e-6


def test_eight_stations_make_a_round_circle():
    # A circle is what a symmetric curve through its corners should come near to.
    half = [(100 * math.sin(a), -100 * math.cos(a)) for a in (i * math.pi / 4 for i in range(5))]
    half[0], half[-1] = (0.0, -100.0), (0.0, 100.0)
    radii = [
        math.hypot(*point_at(s, t / 10))
        for s in smooth(mirrored(half), closed=True)
        for t in range(11)
    ]
    assert max(radii) < 101
    assert min(radii) > 97


def test_numbers_carry_one_decimal_and_no_negative_nought():
    assert [number(v) for v in (1.26, -0.04, 3.0, -12.5)] == ["1.3", "0", "3", "-12.5"]


def test_paths_are_written_as_svg_path_data():
    line = smooth([(0, 0), (3, 3), (6, 6)])
    assert path_data(line) == "M0 0C1 1 2 2 3 3C4 4 5 5 6 6"
    assert path_data(line, start=False) == "C1 1 2 2 3 3C4 4 5 5 6 6"
    assert polygon([(0, 0), (1, 0), (1, 2.5)]) == "M0 0L1 0L1 2.5Z"
