"""What is to be expected of a brief's run-up: when each stage, and whether all in time."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime
from decimal import Decimal

from pydantic import BaseModel, Field
from ulid import ULID

from brief.colour.notation.wording import percent
from brief.money.costing import Hours
from brief.plan.ical import Appointment, Event, calendar_text
from brief.plan.outlook import Outlook, Turn, outlook
from brief.plan.outlook import PlannedStage as Planned
from brief.plan.simulate import Estimate, total_hours
from brief.plan.week import USUAL_WEEK, Away, BenchTime
from brief.services.common.field_types import Id
from brief.services.common.formatting import day
from brief.services.run_up.absences import absences
from brief.services.run_up.stages import StageView, stages_of
from brief.services.trip.reminders import trip_events
from brief.store.desk import Desk
from brief.store.records import Brief

SURE, EVEN = 0.8, 0.5  # common practice, no source
LONG_WAIT_DAYS = 3  # from which a wait has an event of its own in the calendar


class TurnView(BaseModel):
    """When a stage is worked at, with the mean of its estimates."""

    stage_id: Id
    name: str
    done: bool
    begin: date
    until: date = Field(description="The last day of its work")
    over: date = Field(description="The last day of the wait behind it")
    latest: date | None = Field(description="The last day to begin it on; null without a due date")
    slack_days: int | None = Field(description="From begin to latest; negative if that has passed")
    critical: bool = Field(description="Whether the end moves with it")


class LeftOutView(BaseModel):
    """What leaving out a stage would gain."""

    stage_id: Id
    name: str
    hours: float
    days: float = Field(description="By which all is ready earlier, at 80 %")
    chance: float | None = Field(description="Of being ready in time then")


class RunUpView(BaseModel):
    """What is to be expected, as of today."""

    brief_id: Id
    today: date
    due: date | None = Field(description="The day it must be ready to ship")
    sentence: str
    hours_left: float = Field(description="At the bench, by the mean of the estimates")
    chance: float | None = Field(description="Of being ready in time, 0 to 1")
    chance_a_week_later: float | None = Field(description="The same with a week more")
    ready_50: date
    ready_80: date
    ready_95: date
    turns: list[TurnView] = Field(description="In the order of work")
    left_out: list[LeftOutView] = Field(description="What could be left out, best first")


def bench_of(desk: Desk, brief: Brief, today: date) -> BenchTime:
    """The maker's week for a brief, and the days away from it."""
    away = tuple(
        Away(one.name, one.first_on or min(today, one.last_on), one.last_on)
        for one in absences.page(desk, brief_id=brief.id)
    )
    return BenchTime(today, tuple(brief.week_h or USUAL_WEEK), away)


def expected(desk: Desk, brief: Brief, today: date | None = None) -> Outlook:
    """What is to be expected of a brief; InputError for what cannot be worked out."""
    planned = tuple(_planned(one) for one in stages_of(desk, brief.id))
    return outlook(planned, bench_of(desk, brief, today or date.today()), brief.wanted_by)


def hours_at_bench(desk: Desk, brief: Brief) -> Hours | None:
    """All hours of a brief, those already worked, too, to a tenth; None without stages.

    A stage that is done counts with the hours noted for it, or with its estimates if none were.
    """
    known = stages_of(desk, brief.id)
    if not known:
        return None
    worked = sum(one.spent_h or 0.0 for one in known)
    open_ones = [one for one in known if one.done_on is None or one.spent_h is None]
    quick, likely, slow = total_hours(tuple(_planned(one).hours for one in open_ones))
    return Hours(*(Decimal(f"{worked + one:.1f}") for one in (quick, likely, slow)))


def run_up(desk: Desk, brief: Brief, today: date | None = None) -> RunUpView:
    """The same as it is shown."""
    found = expected(desk, brief, today)
    return RunUpView(
        brief_id=brief.id,
        today=found.bench.today,
        due=found.due,
        sentence=": ".join(in_words(found)),
        hours_left=sum(turn.stage.hours.mean for turn in found.to_do),
        chance=found.chance,
        chance_a_week_later=found.chance_a_week_later,
        ready_50=found.ready[0.5],
        ready_80=found.ready[0.8],
        ready_95=found.ready[0.95],
        turns=[_turn_view(turn) for turn in found.turns],
        left_out=[
            LeftOutView(
                stage_id=one.stage.key,
                name=one.stage.name,
                hours=one.hours,
                days=one.days,
                chance=one.chance,
            )
            for one in found.left_out
        ],
    )


def in_words(found: Outlook) -> tuple[str, str]:
    """The result in a word or two, and the sentence that goes on from it."""
    if not found.turns:
        return "Open", "no stages yet."
    if not found.to_do and found.bench.today >= max(turn.over for turn in found.turns):
        return "Done", "all stages are done."
    likely = day(found.ready[0.8])
    if found.due is None or found.chance is None:
        return "No date yet", f"ready by {likely}, eight times in ten."
    if found.due < found.bench.today:
        return "Late", f"{day(found.due)} has passed; ready by {likely}, eight times in ten."
    chance = f"{chance_words(found.chance)} to be ready by {day(found.due)}."
    return _word(found.chance), chance


def _word(chance: float) -> str:
    return "In time" if chance >= SURE else "Tight" if chance >= EVEN else "Late"


def chance_words(chance: float) -> str:
    """A chance that was counted in runs. None of them is certain, and none is rounded up, or the
    day that is called 80 % sure would not be the day of a chance of 80 %.
    """
    if chance > 0.99:
        return "more than 99 %"
    return percent(max(math.floor(chance * 100) / 100, 0.001))


def calendar(desk: Desk, brief: Brief, now: datetime | None = None) -> str:
    """The run-up and the trip as iCalendar: stages to do, long waits, the day to be ready, the
    opening, and what `trip_events` has.
    """
    found = expected(desk, brief)
    events: list[Event | Appointment] = [one for turn in found.to_do for one in _events(turn)]
    for what, on in (("Ready to ship", brief.wanted_by), ("Opening", brief.opens_on)):
        if on is not None:
            uid = f"{_uuid(brief.id)}-{what.casefold().replace(' ', '-')}"
            events.append(Event(uid, on, on, f"{what}: {brief.title}"))
    events += trip_events(desk, brief)
    return calendar_text(f"Run-up: {brief.title}", events, now or datetime.now(UTC))


def _events(turn: Turn) -> list[Event]:
    stage = turn.stage
    told = [f"{stage.hours.mean:.0f} h"] if stage.hours.mean else []
    if turn.latest:
        told.append(f"Latest start: {day(turn.latest)}")
    events = [Event(_uuid(stage.key), turn.begin, turn.until, stage.name, "\n".join(told))]
    if stage.wait_days >= LONG_WAIT_DAYS and turn.over > turn.until:
        waits = f"Wait: {stage.name}"
        events.append(Event(f"{_uuid(stage.key)}-wait", turn.until, turn.over, waits))
    return events


def _uuid(record_id: str) -> str:
    return str(ULID.from_str(record_id).to_uuid())


def _turn_view(turn: Turn) -> TurnView:
    return TurnView(
        stage_id=turn.stage.key,
        name=turn.stage.name,
        done=turn.stage.done_on is not None,
        begin=turn.begin,
        until=turn.until,
        over=turn.over,
        latest=turn.latest,
        slack_days=turn.slack_days,
        critical=turn.critical,
    )


def _planned(one: StageView) -> Planned:
    hours = Estimate(one.quick_h, one.likely_h, one.slow_h)
    return Planned(
        key=one.id,
        name=one.name,
        after=tuple(one.follows),
        hours=hours.less(one.spent_h or 0.0),
        wait_days=one.wait_days,
        done_on=one.done_on,
        spare=one.spare,
    )
