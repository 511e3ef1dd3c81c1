from datetime import date, timedelta

import pytest

from brief.errors import InputError
from brief.plan.outlook import PlannedStage, outlook
from brief.plan.simulate import Estimate
from brief.plan.week import Away, BenchTime

MONDAY = date(2027, 3, 1)
BENCH = BenchTime(MONDAY, (6.0,) * 7)


def _certain(key, hours, after=(), wait_days=0, **more):
    return PlannedStage(key, key, tuple(after), Estimate(hours, hours, hours), wait_days, **more)


def _at(found, key):
    return next(turn for turn in found.turns if turn.stage.key == key)


def test_one_pair_of_hands_does_one_thing_after_the_other():
    found = outlook((_certain("a", 6), _certain("b", 6), _certain("c", 6)), BENCH, None)
    assert [turn.begin for turn in found.turns] == [MONDAY + timedelta(days=at) for at in range(3)]
    assert found.ready[0.5] == date(2027, 3, 3)


def test_while_one_thing_dries_another_is_worked_at():
    stages = (
        _certain("case", 12),
        _certain("finish", 6, wait_days=10),
        _certain("strings", 6, ["finish"]),
    )
    found = outlook(stages, BENCH, None)
    # The finish comes first, since the longest way is behind it; the case is lined as it cures.
    assert _at(found, "finish").begin == MONDAY
    assert _at(found, "case").begin == date(2027, 3, 2)
    assert _at(found, "strings").begin == date(2027, 3, 12)
    assert {turn.stage.key for turn in found.turns if turn.critical} == {"finish", "strings"}


def test_the_latest_day_to_begin_is_the_last_that_is_still_in_time():
    stages = (_certain("a", 12, wait_days=3), _certain("b", 6, ["a"]), _certain("c", 6))
    due = date(2027, 3, 20)
    found = outlook(stages, BENCH, due)
    latest = _at(found, "a").latest
    assert _at(found, "a").slack_days == (latest - MONDAY).days > 0
    assert outlook(stages[:2], BenchTime(latest, (6.0,) * 7), due).ready[0.95] <= due
    tomorrow = BenchTime(latest + timedelta(days=1), (6.0,) * 7)
    assert outlook(stages[:2], tomorrow, due).ready[0.5] > due


def test_what_can_no_longer_be_in_time_has_slack_below_nothing():
    found = outlook((_certain("a", 60),), BENCH, date(2027, 3, 5))
    assert found.chance == 0
    assert _at(found, "a").slack_days == -5
    assert _at(found, "a").latest == date(2027, 2, 24)


def test_the_chance_is_that_of_the_one_stage_there_is():
    # One stage of (2, 4, 12) hours at 1 hour a day: by the end of the fifth day with the chance
    # that scipy gives the distribution, 0.55.
    from scipy import stats

    found = outlook(
        (PlannedStage("a", "a", (), Estimate(2, 4, 12)),),
        BenchTime(MONDAY, (1.0,) * 7),
        date(2027, 3, 5),
    )
    known = stats.beta(1.8, 4.2, loc=2, scale=10)
    assert found.chance == pytest.approx(known.cdf(5), abs=0.015)
    assert found.ready[0.5] == MONDAY + timedelta(days=int(known.ppf(0.5)))
    assert found.chance_a_week_later == pytest.approx(1, abs=0.002)
    assert found.ready[0.5] < found.ready[0.8] < found.ready[0.95]


def test_what_is_done_takes_no_more_time_but_its_wait_goes_on():
    done = _certain("finish", 30, wait_days=14, done_on=date(2027, 2, 25))
    found = outlook((done, _certain("strings", 6, ["finish"])), BENCH, None)
    assert _at(found, "strings").begin == date(2027, 3, 11)
    assert _at(found, "finish").begin == date(2027, 2, 25)
    assert [turn.stage.key for turn in found.to_do] == ["strings"]


def test_a_commission_at_the_bench_comes_first():
    busy = BenchTime(MONDAY, (6.0,) * 7, (Away("another", MONDAY, date(2027, 3, 14)),))
    assert _at(outlook((_certain("a", 6),), busy, None), "a").begin == date(2027, 3, 15)


def test_what_is_left_out_first_is_what_gains_most():
    stages = (
        _certain("dots", 3, spare=True),
        _certain("bird", 24, spare=True),
        _certain("box", 30, ["dots", "bird"]),
    )
    found = outlook(stages, BENCH, date(2027, 3, 7))
    assert [one.stage.key for one in found.left_out] == ["bird", "dots"]
    assert found.left_out[0].days == pytest.approx(4)
    assert found.chance == 0
    assert found.left_out[0].chance == 1
    assert found.left_out[1].chance == 0


def test_what_only_waits_does_so_over_days_off_too():
    # Glued on Friday, three days in the clamps, then ten to dry: Friday and thirteen days.
    stages = (_certain("glue", 30, wait_days=3), _certain("dry", 0, ["glue"], wait_days=10))
    found = outlook(stages, BenchTime(MONDAY, (6.0,) * 5 + (0.0,) * 2), None)
    assert found.ready[0.5] == _at(found, "dry").over == date(2027, 3, 18)


def test_what_was_done_on_a_day_off_waits_from_that_day():
    done = _certain("glue", 3, wait_days=4, done_on=date(2027, 2, 28))  # a Sunday
    found = outlook((done,), BenchTime(MONDAY, (6.0,) * 5 + (0.0,) * 2), None)
    assert found.ready[0.5] == _at(found, "glue").over == date(2027, 3, 3)


def test_nothing_to_do_is_ready_today():
    found = outlook((), BENCH, date(2027, 3, 7))
    assert found.chance == 1
    assert found.ready[0.5] == MONDAY
    assert found.turns == []


def test_a_circle_is_named():
    with pytest.raises(InputError, match="“a” and “b” wait for one another"):
        outlook((_certain("a", 1, ["b"]), _certain("b", 1, ["a"])), BENCH, None)


def test_waits_that_come_to_more_than_ten_years_are_refused():
    stages = tuple(_certain(str(at), 1, wait_days=700) for at in range(6))
    with pytest.raises(InputError, match="more than ten years"):
        outlook(stages, BENCH, None)


@pytest.mark.parametrize("due", [date.min, date(1970, 1, 1), date(2299, 1, 1), date.max])
def test_a_date_that_is_a_slip_of_the_pen_breaks_nothing(due):
    away = BenchTime(MONDAY, (6.0,) * 7, (Away("x", date.min, date.min), Away("y", due, date.max)))
    found = outlook((_certain("a", 6),), BenchTime(MONDAY, (6.0,) * 7), due)
    assert found.chance == found.chance_a_week_later == (due > MONDAY)
    if due > date(2200, 1, 1):
        assert outlook((_certain("a", 6),), away, due).ready[0.5] == MONDAY


def test_more_hours_than_ten_years_have_are_refused():
    with pytest.raises(InputError, match="ten years"):
        outlook((_certain("a", 1e5),), BENCH, None)
