"""Strings across the board. Worked figures are common practice, no source."""

import math
from itertools import pairwise

import pytest

from brief.errors import InputError
from brief.instrument import preset, presets
from brief.instrument.frets.string_spacing import (
    edge_margins,
    equal_centres,
    equal_gaps,
    string_places,
)
from brief.instrument.model.shape import shaped

INCH = 25.4


def test_equal_gaps_of_a_light_set_over_a_nut_of_1_442_inches():
    """Over all 1.442 in, strings .010 to .046 (together .148): five gaps of .2588 in."""
    gauges = [g * INCH for g in (0.046, 0.036, 0.026, 0.017, 0.013, 0.010)]
    assert sum(gauges) == pytest.approx(0.148 * INCH)
    over_all = 1.442 * INCH
    places = equal_gaps(over_all - (gauges[0] + gauges[-1]) / 2, gauges)
    gaps = [
        b - a - (g + h) / 2
        for (a, b), (g, h) in zip(pairwise(places), pairwise(gauges), strict=True)
    ]
    assert gaps == pytest.approx([0.2588 * INCH] * 5, abs=5e-5 * INCH)
    assert places[-1] - places[0] + (gauges[0] + gauges[-1]) / 2 == pytest.approx(over_all)


def test_equal_centres_stand_evenly_about_the_middle():
    assert equal_centres(40.0, 6) == pytest.approx((-20, -12, -4, 4, 12, 20))


def test_gaps_and_centres_agree_for_strings_of_one_gauge():
    assert equal_gaps(30.0, [0.7] * 4) == pytest.approx(equal_centres(30.0, 4))


def test_the_strings_of_a_course_lie_2_2_mm_apart():
    places = string_places(preset("bouzouki"), 26.0)
    assert places[1] - places[0] == pytest.approx(2.2)
    assert [(a + b) / 2 for a, b in zip(places[::2], places[1::2], strict=True)] == pytest.approx(
        equal_centres(26.0, 4)
    )


def test_margins_of_a_parlour_at_the_nut_and_the_12th():
    """46 mm with strings over 38, and 57 mm with strings over (38 + 58) / 2 at half the scale."""
    rows = edge_margins(preset("parlour-steel-string"))
    assert (rows[0].bass_mm, rows[0].treble_mm) == pytest.approx((4.0, 4.0))
    assert (rows[12].bass_mm, rows[12].treble_mm) == pytest.approx((4.5, 4.5))
    assert len(rows) == 19


@pytest.mark.parametrize("kind", [kind for kind, _ in presets()])
def test_no_preset_has_a_string_near_the_edge(kind):
    assert not any(row.near for row in edge_margins(preset(kind)))


def test_a_string_near_the_edge_is_marked_from_the_fret_where_it_comes_near():
    wide = shaped(preset("parlour-steel-string"), {"saddle_spread_mm": 66.0})
    near = [row.fret for row in edge_margins(wide, limit_mm=3.0)]
    marked = [row.fret for row in edge_margins(wide, limit_mm=3.0) if row.near]
    assert marked == near[marked[0] :]
    assert 0 < marked[0] < 18


def test_a_spread_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="needs at least 2 strings; got 1"):
        equal_centres(40.0, 1)
    for spread in (0.0, -3.0, math.nan):
        with pytest.raises(InputError, match=f"above 0 mm; got {spread}"):
            equal_gaps(spread, [1.0, 1.0])
    with pytest.raises(InputError, match=r"a spread of 4.0 mm leaves no gap"):
        equal_gaps(4.0, [3.0, 2.0, 3.0])
