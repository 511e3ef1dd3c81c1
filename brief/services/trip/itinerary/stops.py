"""The places that a trip comes to, each with its time zone."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from brief.plan.clock import read_time, read_zone
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    LongLine,
    Title,
    View,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Stop

StopRole = Literal["home", "border", "hall", "bed", "other"]
Zone = Annotated[
    Line,
    AfterValidator(read_zone),
    Field(description="IANA time zone, or its town alone", examples=["Europe/Berlin"]),
]
WallTime = Annotated[
    Line,
    AfterValidator(read_time),
    Field(description="By the clocks there; empty while not known", examples=["09:40"]),
]


class StopDraft(Draft):
    """A stop as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Sallowhithe, the net loft"])
    role: StopRole = Field("other", description="bed: where you sleep")
    zone: Zone
    address: LongLine = Field("", description="Street, hall, number of the stand")


class StopView(View):
    """A stop as it is shown."""

    brief_id: Id
    name: str
    role: StopRole
    zone: str
    address: str


class Stops(Noun[Stop, StopView]):
    """The stops of a trip."""

    record, draft, view = Stop, StopDraft, StopView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Stop | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields)

    def show(self, desk: Desk, record: Stop) -> StopView:
        """The stop."""
        return StopView(**view_fields(record, "brief_id", "name", "role", "zone", "address"))


stops = Stops()
