"""What the picture says without its text: before the line or behind it, and what is next."""

import re
from dataclasses import replace
from datetime import date
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from brief.plan.outlook import PlannedStage, outlook
from brief.plan.picture import NARROW, WIDE, run_up_picture
from brief.plan.simulate import Estimate
from brief.plan.week import Away, BenchTime

MONDAY = date(2027, 3, 1)
BENCH = BenchTime(MONDAY, (6.0,) * 7)
STAGES = (
    PlannedStage("lacquer", "Lacquer & <rub>", (), Estimate(6, 12, 30), 21),
    PlannedStage("case", "Line the case", (), Estimate(6, 8, 20), 2),
    PlannedStage("strings", "String", ("lacquer",), Estimate(3, 4, 8)),
)


def _drawn(due=None, stages=STAGES, bench=BENCH, **more):
    svg = run_up_picture(outlook(stages, bench, due), "In time & next", **more)
    return ElementTree.fromstring(svg)


def _of(picture, kind):
    return [one for one in picture.iter() if one.get("class") == kind]


def _span(rect):
    return float(rect.get("x")), float(rect.get("x")) + float(rect.get("width"))


def _reach(path):
    numbers = [float(one) for one in re.findall(r"[MH]([\d.]+)", path.get("d"))]
    return min(numbers), max(numbers)


@pytest.mark.parametrize("width", [WIDE, NARROW])
def test_the_heap_is_before_the_line_in_time_behind_it_late_and_on_both_sides_between(width):
    early, late, tight = (
        _drawn(due, width=width) for due in (date(2027, 6, 1), date(2027, 3, 10), date(2027, 3, 26))
    )
    for picture, soon, behind in ((early, True, False), (late, False, True), (tight, True, True)):
        (line,) = _of(picture, "ru-due")
        assert bool(_of(picture, "ru-soon")) == soon
        assert bool(_of(picture, "ru-late-heap")) == behind
        for heap in _of(picture, "ru-soon"):
            assert _reach(heap)[1] <= float(line.get("x1")) + 0.1
        for heap in _of(picture, "ru-late-heap"):
            assert _reach(heap)[0] >= float(line.get("x1")) - 0.1
            assert heap.get("fill").startswith("url(#")  # hatched: not by its colour alone


def test_what_is_next_is_the_first_at_the_bench_and_the_only_one_of_its_kind():
    picture = _drawn()
    (first,) = _of(picture, "ru-next")
    assert first.find("title").text == "Lacquer & <rub>"
    others = _of(picture, "ru-work")
    assert [one.find("title").text for one in others] == ["Line the case", "String"]
    assert all(_span(first)[1] <= _span(one)[0] for one in others)
    done = (replace(STAGES[0], done_on=MONDAY), *STAGES[1:])
    (first,) = _of(_drawn(stages=done), "ru-next")
    assert first.find("title").text == "Line the case"


def test_the_bench_never_does_two_things_and_no_wait_is_over_another():
    picture = _drawn()
    blocks = sorted(_span(one) for one in (*_of(picture, "ru-next"), *_of(picture, "ru-work")))
    assert all(one[1] <= then[0] for one, then in pairwise(blocks))
    waits = [(one.get("y"), *_span(one)) for one in _of(picture, "ru-waits")]
    assert len(waits) == 2
    assert len({y for y, _, _ in waits}) == 2  # they run at the same time


@pytest.mark.parametrize("width", [WIDE, NARROW])
@pytest.mark.parametrize("due", [None, date(2027, 3, 2), date(2029, 1, 1), date(2026, 12, 1)])
def test_all_of_it_is_within_the_picture(width, due):
    away = BenchTime(MONDAY, (6.0,) * 7, (Away("fair", date(2026, 1, 1), date(2033, 1, 1)),))
    for bench in (BENCH, away):
        picture = _drawn(due, bench=bench, width=width, opening=date(2029, 2, 1))
        for one in picture.iter("rect"):
            if one.get("x"):
                assert -0.1 <= _span(one)[0] <= _span(one)[1] <= width + 0.1
        for one in picture.iter("text"):
            assert 0 <= float(one.get("x")) <= width


def test_a_day_far_ahead_has_no_more_ticks_than_one_can_see():
    for due in (date(2027, 9, 1), date(2036, 1, 1), date(2299, 1, 1), date.max):
        picture = _drawn(due, width=NARROW)
        assert len(_of(picture, "ru-due")) == (due.year < 2037)
        ticks = [float(one.get("x1")) for one in _of(picture, "ru-tick")]
        assert 0 < len(ticks) < 80
        assert all(then - one > 4.5 for one, then in pairwise(ticks))


def test_a_commission_before_it_moves_the_first_block():
    busy = BenchTime(MONDAY, (6.0,) * 7, (Away("ukulele", MONDAY, date(2027, 3, 9)),))
    picture = _drawn(bench=busy)
    (away,), (first,) = _of(picture, "ru-away"), _of(picture, "ru-next")
    assert _span(first)[0] == pytest.approx(_span(away)[1], abs=0.2)


def test_what_it_shows_is_said_too():
    assert _drawn().get("aria-label") == "In time & next"
    assert _drawn().get("role") == "img"
