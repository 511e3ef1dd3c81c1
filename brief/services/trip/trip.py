"""The trip as a whole: what comes when, what is open, and what does not fit together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pydantic import BaseModel, Field

from brief.english import number_of
from brief.services.common.field_types import Id
from brief.services.common.formatting import day
from brief.services.trip.itinerary.legs import LegView
from brief.services.trip.itinerary.times import TimedLeg, timed, ways_of
from brief.services.trip.itinerary.warnings import leave_by, warnings_of
from brief.services.trip.packing_list import things_to_pack
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class TripGlance:
    """The trip in a glance: the next leg, what is not packed, what does not fit or is open, and
    days to leaving; None where it is not known, below 0 once it has left.
    """

    next_leg: LegView | None
    unpacked: tuple[str, ...]
    warnings: tuple[str, ...]
    days_to_leaving: int | None


class TripDay(BaseModel):
    """A day of the trip: what begins on it."""

    on: date
    leg_ids: list[Id]
    stay_ids: list[Id]


class TripView(BaseModel):
    """A brief's trip, as of today."""

    brief_id: Id
    today: date
    leaves_on: date | None = Field(description="The day of the first leg")
    back_on: date | None = Field(description="The day that the last leg arrives")
    leave_by: date | None = Field(description="The opening, less the days of travel")
    ready_on: date | None = Field(description="The day it must be ready to ship")
    sentence: str
    warnings: list[str] = Field(description="What does not fit together, or is still open")
    days: list[TripDay]
    packed: int
    to_pack: int


def trip_of(desk: Desk, brief: Brief, today: date | None = None) -> TripView:
    """The trip of a brief."""
    now = today or date.today()
    found = timed(desk, brief)
    ways = ways_of(found)
    things = things_to_pack.page(desk, brief_id=brief.id)
    by_day: dict[date, TripDay] = {}
    for one in found:
        at = by_day.setdefault(one.span.first, TripDay(on=one.span.first, leg_ids=[], stay_ids=[]))
        (at.leg_ids if isinstance(one, TimedLeg) else at.stay_ids).append(one.view.id)
    return TripView(
        brief_id=brief.id,
        today=now,
        leaves_on=ways[0].span.first if ways else None,
        back_on=max(one.span.last for one in ways) if ways else None,
        leave_by=leave_by(brief),
        ready_on=brief.wanted_by,
        sentence=_sentence(ways, now),
        warnings=list(warnings_of(brief, found)),
        days=list(by_day.values()),
        packed=sum(one.packed for one in things),
        to_pack=len(things),
    )


def trip_glance(desk: Desk, brief: Brief, today: date | None = None) -> TripGlance:
    """The trip of a brief in a glance."""
    now = today or date.today()
    found = timed(desk, brief)
    ways = ways_of(found)
    things = things_to_pack.page(desk, brief_id=brief.id)
    return TripGlance(
        next_leg=next((one.view for one in ways if one.span.last >= now), None),
        unpacked=tuple(one.name for one in things if not one.packed),
        warnings=tuple(warnings_of(brief, found)),
        days_to_leaving=(ways[0].span.first - now).days if ways else None,
    )


def _sentence(ways: Sequence[TimedLeg], now: date) -> str:
    if not ways:
        return "No legs yet."
    coming = next((one for one in ways if one.span.last >= now), None)
    if coming is None:
        return f"Back since {day(max(one.span.last for one in ways))}."
    left = (coming.span.first - now).days
    when = "Under way" if left < 0 else "Today" if left == 0 else f"In {number_of(left, 'day')}"
    return f"{when}: {coming.name}, {coming.view.words}."
