from datetime import date, timedelta

import numpy as np
import pytest

from brief.errors import InputError
from brief.plan.week import Away, BenchTime

MONDAY = date(2027, 3, 1)
SIX = (6.0, 6.0, 6.0, 6.0, 6.0, 0.0, 0.0)


def test_work_passes_over_the_days_off():
    bench = BenchTime(MONDAY, SIX)
    end = bench.later(bench.now, 31.0)  # five days and an hour
    assert bench.day_of(end) == date(2027, 3, 8)  # the next Monday
    assert bench.day_of(bench.later(bench.now, 30.0)) == date(2027, 3, 5)  # just done on Friday


def test_days_away_are_passed_over_with_their_first_and_last():
    bench = BenchTime(MONDAY, SIX, (Away("fair", date(2027, 3, 2), date(2027, 3, 4)),))
    assert bench.day_of(bench.later(bench.now, 7.0)) == date(2027, 3, 5)


def test_what_can_begin_on_a_day_off_begins_on_the_next_working_day():
    bench = BenchTime(MONDAY, SIX)
    assert bench.start_of(bench.time_of(date(2027, 3, 6))) == date(2027, 3, 8)
    assert bench.start_of(bench.time_of(date(2027, 3, 3))) == date(2027, 3, 3)


def test_sooner_undoes_later():
    bench = BenchTime(MONDAY, SIX, (Away("fair", date(2027, 3, 2), date(2027, 3, 4)),))
    for hours in (1.0, 6.0, 29.0, 100.0):
        end = float(bench.later(bench.now, hours))
        start = bench.sooner(end, hours)
        assert start >= bench.now
        assert bench.later(start, hours - 0.01) < end < bench.later(start + 1, hours)


def test_hours_are_counted_day_by_day():
    # Against a loop over the calendar.
    bench = BenchTime(
        MONDAY,
        (2.0, 0.0, 4.5, 6.0, 6.0, 3.0, 0.0),
        (Away("x", date(2027, 4, 1), date(2027, 4, 9)),),
    )
    hours, day = 0.0, MONDAY
    for _ in range(200):
        begun = bench.hours_until(bench.time_of(day)) - bench.hours_until(bench.now)
        assert begun == pytest.approx(hours)
        if not date(2027, 4, 1) <= day <= date(2027, 4, 9):
            hours += bench.week[day.weekday()]
        day += timedelta(days=1)


def test_many_at_once_end_as_each_of_them_alone():
    bench = BenchTime(MONDAY, SIX)
    starts, hours = np.array([730.0, 731.5, 735.2]), np.array([5.0, 40.0, 0.5])
    each = [float(bench.later(float(a), float(b))) for a, b in zip(starts, hours, strict=True)]
    np.testing.assert_allclose(bench.later(starts, hours), each)


def test_the_end_of_a_day_is_still_of_that_day():
    bench = BenchTime(MONDAY, SIX)
    assert bench.day_of(bench.now + 1) == MONDAY


@pytest.mark.parametrize(
    "week", [(0.0,) * 7, (6.0,) * 6, (25.0, *(0.0,) * 6), (-1.0, 6.0, *(0.0,) * 5)]
)
def test_a_week_that_nobody_could_work_is_refused(week):
    with pytest.raises(InputError):
        BenchTime(MONDAY, week)
