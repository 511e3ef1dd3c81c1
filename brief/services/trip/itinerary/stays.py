"""Times at a stop: nights, and the hours of the stand."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import ClassVar, Literal

from pydantic import Field

from brief.services.common.field_types import Columns, Day, Draft, Fields, Id, Line, View
from brief.services.common.foreign_keys import check_pointers, existing
from brief.services.common.noun import Noun, view_fields
from brief.services.trip.itinerary.spans import Span, check_span
from brief.services.trip.itinerary.stops import WallTime
from brief.store.desk import Desk
from brief.store.records import Brief, Stay, Stop

Purpose = Literal["nights", "building up", "open", "taking down", "other"]
PURPOSES: Mapping[Purpose, str] = {
    "nights": "Nights",
    "building up": "Building up the stand",
    "open": "Stand open",
    "taking down": "Taking down",
    "other": "Something else",
}
STAND: tuple[Purpose, ...] = ("building up", "open", "taking down")
TIMES = ("from_on", "from_at", "until_on", "until_at")


class StayDraft(Draft):
    """A stay as it is sent."""

    brief_id: Id
    stop_id: Id
    purpose: Purpose = "nights"
    from_on: Day
    from_at: WallTime = ""
    until_on: Day | None = Field(None, description="null: on the same day")
    until_at: WallTime = ""
    booking: Line = Field("", description="Its reference", examples=["STAND-12"])
    booked: bool = Field(False, description="Whether it is fixed")


class StayView(View):
    """A stay as it is shown."""

    brief_id: Id
    stop_id: Id
    stop_name: str
    purpose: Purpose
    from_on: date
    from_at: str
    until_on: date | None
    until_at: str
    booking: str
    booked: bool
    name: str = Field(examples=["Stand open: the net loft"])
    words: str = Field(examples=["14 May 2027, 10:00 to 18:00"])
    times: str = Field(description="The same beside its first day", examples=["09:40 to 15:05"])
    remarks: list[str] = Field(description="What was made of a time that clocks leave open")


class Stays(Noun[Stay, StayView]):
    """The stays of a trip."""

    record, draft, view = Stay, StayDraft, StayView
    settled = frozenset({"brief_id"})
    hangs_by: ClassVar = {"brief_id": Brief, "stop_id": Stop}

    def settle(self, desk: Desk, fields: Fields, record: Stay | None) -> Columns:
        """Check that it ends after it begins; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, stop_id=Stop)
        now = {
            name: fields[name] if name in fields else getattr(record, name)
            for name in ("stop_id", *TIMES)
        }
        stop = existing(desk, "stop_id", Stop, now["stop_id"])
        check_span(Span.of(now, TIMES, stop.zone), TIMES)
        return dict(fields)

    def show(self, desk: Desk, record: Stay) -> StayView:
        """The stay, with its stop by name."""
        span = stay_span(desk, record)
        stop = desk.session.get_one(Stop, record.stop_id)
        return StayView(
            **view_fields(record, "brief_id", "stop_id", "purpose", *TIMES, "booking", "booked"),
            stop_name=stop.name,
            name=f"{PURPOSES[record.purpose]}: {stop.name}",  # type: ignore[index]  # as sent
            words=span.words,
            times=span.times,
            remarks=list(span.remarks),
        )

    def vet(self, desk: Desk, record: Stay) -> None:
        """Refuse one that ends before it begins."""
        check_span(stay_span(desk, record), TIMES)
        super().vet(desk, record)


def stay_span(desk: Desk, record: Stay) -> Span:
    """From when to when."""
    stop = desk.session.get_one(Stop, record.stop_id)
    return Span.of(record, TIMES, stop.zone)


stays = Stays()
