"""Beginning a trip: home, the hall, and the two ways between them, all still to be booked."""

from __future__ import annotations

from datetime import date, timedelta

from pydantic import Field

from brief.errors import InputError
from brief.services.common.field_types import Day, Draft, Title
from brief.services.trip.itinerary.legs import LegDraft, legs
from brief.services.trip.itinerary.stays import StayDraft, stays
from brief.services.trip.itinerary.stops import StopDraft, Zone, stops
from brief.services.trip.itinerary.warnings import leave_by
from brief.store.desk import Desk
from brief.store.records import Brief

USUAL_DAYS_THERE = 3  # of the show, where nobody has said: common practice, no source


class TripDraft(Draft):
    """What a trip begins with."""

    home: Title = Field(examples=["My workshop"])
    home_zone: Zone
    hall: Title = Field(examples=["The net loft, Sallowhithe"])
    hall_zone: Zone
    leaves_on: Day
    back_on: Day


def begin_trip(desk: Desk, brief: Brief, draft: TripDraft) -> None:
    """Make its stops, two open legs, nights and the hours of the stand. Raises InputError if the
    brief has stops already, or comes back before it leaves.
    """
    if stops.page(desk, brief_id=brief.id, limit=1):
        raise InputError("This brief has a trip already. Change its stops and legs instead.")
    if draft.back_on < draft.leaves_on:
        raise InputError.at("back_on", "This is before you leave. Choose a later day.")
    of = {"brief_id": brief.id}
    home = stops.add(desk, StopDraft(**of, name=draft.home, role="home", zone=draft.home_zone))
    hall = stops.add(desk, StopDraft(**of, name=draft.hall, role="hall", zone=draft.hall_zone))
    there = _arrives(brief, draft)
    ways = ((home, hall, draft.leaves_on, there), (hall, home, draft.back_on, None))
    for start, end, leaves_on, arrives_on in ways:
        leg = LegDraft(
            **of, from_id=start.id, to_id=end.id, leaves_on=leaves_on, arrives_on=arrives_on
        )
        legs.add(desk, leg)
    arrived = there or draft.leaves_on
    if draft.back_on > arrived:
        stays.add(
            desk,
            StayDraft(**of, stop_id=hall.id, from_on=arrived, until_on=draft.back_on),
        )
    if brief.opens_on and arrived <= brief.opens_on <= draft.back_on:
        opening = StayDraft(**of, stop_id=hall.id, purpose="open", from_on=brief.opens_on)
        stays.add(desk, opening)


def proposed_days(brief: Brief, today: date) -> tuple[date, date]:
    """The days to leave and to be back, to begin with: by the opening where there is one."""
    leaves = leave_by(brief) or brief.wanted_by or today + timedelta(days=30)
    opens = brief.opens_on or leaves
    return leaves, max(opens, leaves) + timedelta(days=USUAL_DAYS_THERE)


def _arrives(brief: Brief, draft: TripDraft) -> date | None:
    """The eve of the opening, if the days of travel are more than one; else the same day."""
    if brief.opens_on is None or brief.travel_days < 2:
        return None
    eve = brief.opens_on - timedelta(days=1)
    return eve if draft.leaves_on < eve <= draft.back_on else None
