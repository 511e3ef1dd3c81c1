"""The trip's line of days: what is open is hatched, what is booked is not, all within its box."""

import re
from datetime import date, datetime
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from brief.plan.trip_picture import LETTER, NARROW, WIDE, DayMark, TripStretch, trip_picture


def _leg(day, hour, to_day, to_hour, *, booked=True, to="hall", **more):
    start, end = datetime(2027, 5, day, hour), datetime(2027, 5, to_day, to_hour)
    return TripStretch("leg", start, end, booked, f"way to {to}", at="home", to=to, **more)


LINE = [
    _leg(12, 21, 13, 6, to="ferry", border=True),
    _leg(13, 8, 13, 13),
    TripStretch("night", datetime(2027, 5, 13), datetime(2027, 5, 16), True, "nights"),
    TripStretch("stand", datetime(2027, 5, 15, 10), datetime(2027, 5, 15, 18), True, "open"),
    TripStretch(
        "stand", datetime(2027, 5, 16, 17), datetime(2027, 5, 16, 19), False, "taking down"
    ),
    _leg(17, 14, 18, 9, booked=False, to="home"),
]
MARKS = [
    DayMark("ready", date(2027, 5, 2)),
    DayMark("leave by", date(2027, 5, 11)),
    DayMark("opening", date(2027, 5, 15)),
]


def _drawn(width=WIDE, line=LINE, marks=MARKS):
    return ElementTree.fromstring(trip_picture(line, marks, "said", width=width))


def _of(drawn, kind):
    return [one for one in drawn.iter() if kind in one.get("class", "").split()]


def test_what_is_open_is_hatched_within_its_outline_and_what_is_booked_is_not():
    drawn = _drawn()
    for one in [*_of(drawn, "tp-leg"), *_of(drawn, "tp-stand"), *_of(drawn, "tp-night")]:
        is_open = "is-open" in one.get("class")
        assert (one.get("fill") == "url(#trip-open)") == is_open
        assert one.find("title").text.endswith("still open") == is_open
    assert [len(_of(drawn, kind)) for kind in ("tp-leg", "tp-border", "tp-night")] == [3, 1, 3]


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_all_of_it_is_within_its_box_and_names_are_not_over_each_other(width):
    drawn = _drawn(width)
    for one in drawn.iter():
        for name in ("x", "x1", "x2"):
            if one.get(name) is not None:
                assert 0 <= float(one.get(name)) <= width
    left = sorted((float(one.get("x")), len(one.text)) for one in _of(drawn, "tp-place"))
    for (x, letters), (following, _) in pairwise(left):
        assert x + letters * 6 < following


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_where_it_begins_stands_before_the_first_way(width):
    """One is there until then, as one is at each place that is named over the line."""
    drawn = _drawn(width)
    begins = float(_of(drawn, "tp-end")[0].get("cx"))
    first = min(_of(drawn, "tp-place"), key=lambda one: float(one.get("x")))
    assert first.text == "home"
    assert float(first.get("x")) + LETTER * len("home") == pytest.approx(begins, abs=0.1)


def test_days_are_marked_and_one_that_is_too_far_off_is_said_at_the_edge():
    texts = [one.text for one in _of(_drawn(), "tp-label")]
    assert texts == ["ready 2 May, 9 days before", "leave by 11 May", "opening 15 May"]
    assert len(_of(_drawn(), "tp-mark")) == 2


def test_words_of_others_are_escaped_and_without_a_leg_there_is_none():
    drawn = trip_picture([_leg(12, 9, 12, 10, to='<b>"&')], [], 'said "<i>"')
    assert "<b>" not in drawn
    assert "<i>" not in drawn
    assert ElementTree.fromstring(drawn).get("aria-label") == 'said "<i>"'
    assert trip_picture(LINE[2:5], MARKS, "said") == ""


def test_a_slip_of_the_pen_of_a_century_stays_small():
    long = TripStretch("leg", datetime(1927, 1, 1), datetime(2027, 1, 1), True, "x", to="y")
    drawn = trip_picture([*LINE, long], MARKS, "said")
    assert len(drawn) < 60_000
    assert len(re.findall("tp-tick", drawn)) <= 121
