"""The trip as events for a calendar: times in UTC, whole days where a time is not known.

Calendars are shared with others more readily than briefs, so that no booking is in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from ulid import ULID

from brief.english import number_of
from brief.plan.ical import Appointment, Event
from brief.services.spec.passport import passport_of
from brief.services.trip.itinerary.times import Timed, TimedLeg, timed, ways_of
from brief.services.trip.itinerary.warnings import leave_by
from brief.services.trip.packing_list import PAPER, things_to_pack
from brief.store.desk import Desk
from brief.store.records import Brief
from brief.wood.border import DECIDES

BEFORE_LEG, BEFORE_STAY = timedelta(hours=3), timedelta(hours=1)
"""How long before a calendar may remind: common practice, no source."""


def trip_events(desk: Desk, brief: Brief) -> list[Event | Appointment]:
    """Legs, stays, the day to pack on, and the last day to leave."""
    found = timed(desk, brief)
    return [*map(_event, found), *_whole_days(desk, brief, found)]


def _event(one: Timed) -> Event | Appointment:
    uid = _uuid(one.view.id)
    stop = one.start if isinstance(one, TimedLeg) else one.stop
    told = [f"{one.view.words}, by the clocks there"]
    told += [] if one.view.booked else ["Not booked yet"]
    said = "\n".join(told)
    if one.span.start is None:
        return Event(uid, one.span.first, max(one.span.first, one.span.last), one.name, said)
    ends = one.span.end if one.span.minutes is not None and one.span.minutes > 0 else None
    return Appointment(
        uid,
        one.span.start.utc,
        ends.utc if ends else None,
        one.name,
        said,
        place=", ".join(filter(None, (stop.name, stop.address))),
        remind=BEFORE_LEG if isinstance(one, TimedLeg) else BEFORE_STAY,
    )


def _whole_days(desk: Desk, brief: Brief, found: list[Timed]) -> Iterator[Event]:
    ways = ways_of(found)
    if not ways:
        return
    left = [one for one in things_to_pack.page(desk, brief_id=brief.id) if not one.packed]
    leaves = ways[0].span.first
    papers = [one.name for one in left if one.usual.startswith(PAPER)]
    days = max(brief.papers_days, passport_of(desk, brief).days) if papers else 0
    if days and leaves - date.min > timedelta(days=days):
        on, told = leaves - timedelta(days=days), "\n".join([*papers, DECIDES])
        yield Event(f"{_uuid(brief.id)}-papers", on, on, "Begin to ask about papers", told)
    if left and leaves > date.min:
        eve, said = leaves - timedelta(days=1), "\n".join(one.name for one in left)
        yield Event(
            f"{_uuid(brief.id)}-pack", eve, eve, f"Pack {number_of(len(left), 'thing')}", said
        )
    by = leave_by(brief)
    if by is not None:
        yield Event(f"{_uuid(brief.id)}-leave-by", by, by, f"Last day to leave: {brief.title}")


def _uuid(record_id: str) -> str:
    return str(ULID.from_str(record_id).to_uuid())
