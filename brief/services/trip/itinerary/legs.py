"""The ways from stop to stop: when each leaves and arrives, by the clocks there."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from pydantic import Field

from brief.errors import InputError
from brief.services.common.field_types import Columns, Day, Draft, Fields, Id, Line, View
from brief.services.common.foreign_keys import check_pointers, existing
from brief.services.common.noun import Noun, view_fields
from brief.services.trip.itinerary.spans import Span, check_span
from brief.services.trip.itinerary.stops import WallTime
from brief.store.desk import Desk
from brief.store.records import Brief, Leg, Stop

POINTS = ("from_id", "to_id")
TIMES = ("leaves_on", "leaves_at", "arrives_on", "arrives_at")


class LegDraft(Draft):
    """A leg as it is sent."""

    brief_id: Id
    from_id: Id = Field(description="The stop that it leaves")
    to_id: Id = Field(description="The stop that it comes to")
    by: Line = Field("", examples=["car", "night train"])
    leaves_on: Day
    leaves_at: WallTime = ""
    arrives_on: Day | None = Field(None, description="null: on the same day")
    arrives_at: WallTime = ""
    booking: Line = Field("", description="Its reference", examples=["KX7Q2P"])
    booked: bool = Field(False, description="Whether it is fixed")


class LegView(View):
    """A leg as it is shown."""

    brief_id: Id
    from_id: Id
    from_name: str
    to_id: Id
    to_name: str
    by: str
    leaves_on: date
    leaves_at: str
    arrives_on: date | None
    arrives_at: str
    booking: str
    booked: bool
    words: str = Field(examples=["14 May 2027, 09:40 to 15:05"])
    minutes: int | None = Field(description="How long it takes; null while a time is not known")
    times: str = Field(description="The same beside its first day", examples=["09:40 to 15:05"])
    remarks: list[str] = Field(description="What was made of a time that clocks leave open")


class Legs(Noun[Leg, LegView]):
    """The legs of a trip."""

    record, draft, view = Leg, LegDraft, LegView
    settled = frozenset({"brief_id"})
    hangs_by: ClassVar = {"brief_id": Brief, "from_id": Stop, "to_id": Stop}

    def settle(self, desk: Desk, fields: Fields, record: Leg | None) -> Columns:
        """Check that it goes somewhere, and arrives after it leaves; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, from_id=Stop, to_id=Stop)
        now = {
            name: fields[name] if name in fields else getattr(record, name)
            for name in (*POINTS, *TIMES)
        }
        if now["from_id"] == now["to_id"]:
            raise InputError.at("to_id", "It leaves from there. Choose another stop.")
        ends = [existing(desk, name, Stop, now[name]) for name in POINTS]
        check_span(Span.of(now, TIMES, *(one.zone for one in ends)), TIMES)
        return dict(fields)

    def show(self, desk: Desk, record: Leg) -> LegView:
        """The leg, with its stops by name."""
        start, end = (desk.session.get_one(Stop, one) for one in (record.from_id, record.to_id))
        span = span_of(desk, record)
        return LegView(
            **view_fields(record, "brief_id", *POINTS, "by", *TIMES, "booking", "booked"),
            from_name=start.name,
            to_name=end.name,
            words=span.words,
            times=span.times,
            minutes=span.minutes,
            remarks=list(span.remarks),
        )

    def vet(self, desk: Desk, record: Leg) -> None:
        """Refuse one that arrives before it leaves."""
        check_span(span_of(desk, record), TIMES)
        super().vet(desk, record)


def span_of(desk: Desk, record: Leg) -> Span:
    """When it leaves and arrives."""
    start, end = (desk.session.get_one(Stop, one) for one in (record.from_id, record.to_id))
    return Span.of(record, TIMES, start.zone, end.zone)


legs = Legs()
