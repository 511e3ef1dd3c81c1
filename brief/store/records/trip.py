"""The trip: places, ways, nights, people to ask, papers, and what to pack."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Record, brief_key


class Stop(Record):
    """A place that a trip comes to: the workshop, a border, the hall, a bed."""

    __tablename__ = "stops"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    role: Mapped[str] = mapped_column(String(20))
    # IANA name of its time zone, by which all times there are read.
    zone: Mapped[str] = mapped_column(String(60))
    address: Mapped[str] = mapped_column(String(500))


class Leg(Record):
    """A way from one stop to another."""

    __tablename__ = "legs"

    brief_id: Mapped[str] = brief_key()
    from_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    to_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    by: Mapped[str] = mapped_column(String(200))
    # Days and times of day by the clocks there, "09:40"; "" where a time is not known yet, and
    # None for an arrival on the same day.
    leaves_on: Mapped[date]
    leaves_at: Mapped[str] = mapped_column(String(5))
    arrives_on: Mapped[date | None]
    arrives_at: Mapped[str] = mapped_column(String(5))
    booking: Mapped[str] = mapped_column(String(200))
    booked: Mapped[bool]


class Stay(Record):
    """A time at a stop: nights in a bed, the hours of the stand."""

    __tablename__ = "stays"

    brief_id: Mapped[str] = brief_key()
    stop_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    purpose: Mapped[str] = mapped_column(String(20))
    # As those of a leg; until_on None is the same day.
    from_on: Mapped[date]
    from_at: Mapped[str] = mapped_column(String(5))
    until_on: Mapped[date | None]
    until_at: Mapped[str] = mapped_column(String(5))
    booking: Mapped[str] = mapped_column(String(200))
    booked: Mapped[bool]


class Contact(Record):
    """Somebody to ask on a trip, and how to reach them."""

    __tablename__ = "contacts"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    concern: Mapped[str] = mapped_column(String(200))
    reach: Mapped[str] = mapped_column(String(500))


class ThingToPack(Record):
    """A line of the packing list."""

    __tablename__ = "things_to_pack"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    heap: Mapped[str] = mapped_column(String(20))
    why: Mapped[str] = mapped_column(String(500))
    packed: Mapped[bool]
    # The line of brief/plan/packing.toml, or of this brief's own sheets, that it began as.
    usual: Mapped[str] = mapped_column(String(40))


class Attachment(Record):
    """A document of a trip: a ticket, a booking, a passport. It never leaves this home with its
    brief, since nobody can see of a copy what such a document says."""

    __tablename__ = "attachments"
    travels = False

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    # Of a PDF; a picture has one.
    pages: Mapped[int]
