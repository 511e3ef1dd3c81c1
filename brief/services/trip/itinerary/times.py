"""The legs and stays of a trip with their places and times, in the order of time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias
from zoneinfo import ZoneInfo

from brief.services.common.finding import listed
from brief.services.trip.itinerary.legs import LegView, legs, span_of
from brief.services.trip.itinerary.spans import Span
from brief.services.trip.itinerary.stays import STAND, StayView, stay_span, stays
from brief.store.desk import Desk
from brief.store.records import Brief, Leg, Stay, Stop


@dataclass(frozen=True)
class TimedLeg:
    """A leg; start, end : the stops."""

    view: LegView
    span: Span
    start: Stop
    end: Stop

    @property
    def name(self) -> str:
        """ "night train to Sallowhithe"."""
        return f"{self.view.by or 'leg'} to {self.view.to_name}"


@dataclass(frozen=True)
class TimedStay:
    """A stay; stop : where."""

    view: StayView
    span: Span
    stop: Stop

    @property
    def name(self) -> str:
        """ "Stand open: the net loft"."""
        return self.view.name

    @property
    def is_night(self) -> bool:
        """Whether it is for sleeping."""
        return self.view.purpose == "nights"

    @property
    def is_stand(self) -> bool:
        """Whether it is the hours of the stand."""
        return self.view.purpose in STAND


Timed: TypeAlias = TimedLeg | TimedStay


def timed(desk: Desk, brief: Brief) -> list[Timed]:
    """The legs and stays of a brief in the order of time; of two at once the leg first."""
    found: list[Timed] = []
    listed(desk, Stop, brief_id=brief.id)  # in one go; the desk holds them for what follows
    for leg in listed(desk, Leg, brief_id=brief.id):
        ends = (desk.session.get_one(Stop, one) for one in (leg.from_id, leg.to_id))
        found.append(TimedLeg(legs.show(desk, leg), span_of(desk, leg), *ends))
    for stay in listed(desk, Stay, brief_id=brief.id):
        stop = desk.session.get_one(Stop, stay.stop_id)
        found.append(TimedStay(stays.show(desk, stay), stay_span(desk, stay), stop))
    return sorted(found, key=_at)


def ways_of(found: list[Timed]) -> list[TimedLeg]:
    """The legs alone."""
    return [one for one in found if isinstance(one, TimedLeg)]


def _at(one: Timed) -> tuple[datetime, bool]:
    """By the moment, since over the date line one leaves again on the day before. Nights whose
    hours nobody said come last on their day.
    """
    begins, stop = one.span.sorted_by, one.start if isinstance(one, TimedLeg) else one.stop
    if isinstance(one, TimedStay) and one.is_night and one.span.start is None:
        begins = begins.replace(hour=23)
    return begins.replace(tzinfo=ZoneInfo(stop.zone)), isinstance(one, TimedStay)
