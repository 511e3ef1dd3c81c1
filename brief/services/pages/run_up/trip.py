"""The Trip sheet: where one is on which day, what is open, what to pack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from brief.plan.clock import zone_names
from brief.plan.packing import HEAPS, usual
from brief.plan.trip_picture import (
    EVENING,
    MORNING,
    NARROW,
    DayMark,
    Kind,
    MarkName,
    TripStretch,
    trip_picture,
)
from brief.services import nouns
from brief.services.pages.shared import Along, Choices, along, grouped, views
from brief.services.pairing.view_settings import Shown
from brief.services.theme.briefs import BriefView
from brief.services.trip.attached import MOST_BYTES
from brief.services.trip.attachments import AttachmentView
from brief.services.trip.contacts import ContactView
from brief.services.trip.itinerary.beginning import proposed_days
from brief.services.trip.itinerary.legs import LegView
from brief.services.trip.itinerary.stays import PURPOSES, StayView
from brief.services.trip.itinerary.stops import StopView
from brief.services.trip.itinerary.times import Timed, TimedLeg, TimedStay, timed
from brief.services.trip.itinerary.zone_here import zone_here
from brief.services.trip.packing_list import ThingToPackView
from brief.services.trip.stand import StandView, stand_of
from brief.services.trip.trip import TripView, trip_of
from brief.store.desk import Desk
from brief.store.records import Brief

ROLES: Choices = [
    ("home", "home or workshop"),
    ("border", "border"),
    ("hall", "hall of the show"),
    ("bed", "where you sleep"),
    ("other", "something else"),
]
EARLY, LATE = time(21), time(8)  # of a night whose hours nobody said


@dataclass(frozen=True)
class Day:
    """A day of the trip with what begins on it, in the order of time."""

    on: date
    items: Sequence[LegView | StayView]


@dataclass(frozen=True)
class TripSheet:
    """pictures : wide and narrow, SVG; none without a leg. heaps : the packing list by heap, each
    with its title. travel_along : what removing each stop would take along.
    """

    trip: TripView
    pictures: Sequence[str]
    days: Sequence[Day]
    stops: Sequence[StopView]
    stop_choices: Choices
    contacts: Sequence[ContactView]
    heaps: Sequence[tuple[str, Sequence[ThingToPackView]]]
    heap_choices: Choices
    attachments: Sequence[AttachmentView]
    travel_along: Along
    roles: Choices
    purposes: Choices
    zones: Sequence[str]
    zone_here: str
    proposed_days: tuple[date, date]
    usual_source: str
    stand: StandView
    most_bytes: int
    has_stages: bool


def trip_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[TripSheet]:
    """What the Trip sheet shows."""
    found = timed(desk, brief)
    trip = trip_of(desk, brief)
    stops = views(desk, nouns.stops, brief)
    contacts = views(desk, nouns.contacts, brief)
    things = views(desk, nouns.things_to_pack, brief)
    attachments = views(desk, nouns.attachments, brief)
    by_heap = grouped(things, lambda one: one.heap)
    items: dict[date, list[LegView | StayView]] = {}
    for one in found:
        items.setdefault(one.span.first, []).append(one.view)
    table = usual()
    sheet = TripSheet(
        trip=trip,
        pictures=_pictures(brief, found, trip),
        days=[Day(on, those) for on, those in sorted(items.items())],
        stops=stops,
        stop_choices=[(one.id, one.name) for one in stops],
        contacts=contacts,
        heaps=[(title, by_heap[heap]) for heap, title in HEAPS.items() if heap in by_heap],
        heap_choices=list(HEAPS.items()),
        attachments=attachments,
        travel_along=along(desk, nouns.stops, stops),
        roles=ROLES,
        purposes=list(PURPOSES.items()),
        zones=zone_names(),
        zone_here=zone_here(),
        proposed_days=proposed_days(brief, trip.today),
        usual_source=table.source,
        stand=stand_of(desk, brief),
        most_bytes=MOST_BYTES,
        has_stages=bool(nouns.stages.page(desk, brief_id=brief.id, limit=1)),
    )
    return (sheet,)


def _pictures(brief: Brief, found: Sequence[Timed], trip: TripView) -> list[str]:
    """Wide and narrow; nothing without a leg."""
    stretches = [_stretch(one) for one in found]
    days: dict[MarkName, date | None] = {
        "ready": trip.ready_on,
        "leave by": trip.leave_by,
        "opening": brief.opens_on,
    }
    marks = [DayMark(name, on) for name, on in days.items() if on is not None]
    said = " ".join([trip.sentence, *trip.warnings])
    drawn = [
        trip_picture(stretches, marks, said),
        trip_picture(stretches, marks, said, width=NARROW, prefix="trip-slim"),
    ]
    return [one for one in drawn if one]


def _stretch(one: Timed) -> TripStretch:
    """With hours of the day where nobody said any, so that it has a place on the line."""
    night = isinstance(one, TimedStay) and one.is_night
    begins, ends = (EARLY, LATE) if night else (MORNING, EVENING)
    start = one.span.start.wall if one.span.start else datetime.combine(one.span.first, begins)
    end = one.span.end.wall if one.span.end else datetime.combine(one.span.last, ends)
    if end <= start:  # to the west, or until nobody knows when
        end = start + timedelta(hours=1)
    if isinstance(one, TimedLeg):
        border = one.end.role == "border"
        names = {"at": one.start.name, "to": one.end.name}
        return TripStretch("leg", start, end, one.view.booked, one.name, border=border, **names)
    kind: Kind = "night" if night else "stand" if one.is_stand else "other"
    return TripStretch(kind, start, end, one.view.booked, one.view.purpose, at=one.stop.name)


@dataclass(frozen=True)
class StandPage:
    """What is read at the stand, as a page to print."""

    brief: BriefView
    stand: StandView


def stand_page(desk: Desk, brief_id: str) -> StandPage:
    """The page of the caption and the price list."""
    brief = nouns.briefs.get(desk, brief_id)
    return StandPage(nouns.briefs.show(desk, brief), stand_of(desk, brief))
