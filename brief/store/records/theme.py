"""A brief and its theme: strands, references, their colours, and notes."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import Column, Float, ForeignKey, Integer, String, Table, Text, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from brief.store.records.base import EMPTY, Base, Corrected, LengthsAsTyped, Record, brief_key
from brief.store.records.instrument import Kind


class Brief(LengthsAsTyped, Record):
    """A brief."""

    __tablename__ = "briefs"

    title: Mapped[str] = mapped_column(String(200))
    theme: Mapped[str] = mapped_column(Text)
    instrument: Mapped[str] = mapped_column(String(200))
    # A kind that the program knows, or the id of one of the maker's own.
    kind: Mapped[str] = mapped_column(String(60))
    show: Mapped[str] = mapped_column(String(200))
    wanted_by: Mapped[date | None]
    # With an opening, `wanted_by` is that day less these.
    opens_on: Mapped[date | None]
    travel_days: Mapped[int] = mapped_column(default=0, server_default="0")
    papers_days: Mapped[int] = mapped_column(default=0, server_default="0")
    # Hours at the bench from Monday to Sunday; None leaves it to common practice.
    week_h: Mapped[list[float] | None]
    # For the stand: the maker's words and price of the instrument, and what else is on the price
    # list, one a line. A price is printed as it was typed, and nothing is worked out of it.
    caption: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)
    stand_price: Mapped[str] = mapped_column(String(200), default="", server_default=EMPTY)
    stand_list: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)
    # What it costs: the maker's own terms, which nobody else sees. Without a currency, that of most
    # of the rack. Overhead is "30 %" of what the hours cost, or a sum.
    currency: Mapped[str | None] = mapped_column(String(3))
    hour_rate: Mapped[Decimal | None]
    overhead: Mapped[str] = mapped_column(String(40), default="", server_default=EMPTY)
    margin: Mapped[Decimal | None]
    commission: Mapped[Decimal | None]
    asking_price: Mapped[Decimal | None]
    # The numbers that differ from those of its kind of instrument: {"scale_mm": 640.0, ...}.
    numbers: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")

    # Stations in place of those of its kind: [[mm from the neck joint, half width], ...].
    outline: Mapped[list[Any] | None]
    # What a width of that outline may be off by, where it was traced from a photograph.
    outline_doubt_mm: Mapped[float | None]
    # Which edition of its kind's outline the maker has read of; a brief that was there before, or
    # comes from an older parcel, knows the first.
    outline_edition: Mapped[int] = mapped_column(default=2, server_default="1")

    own_kind: Mapped[Kind | None] = relationship(
        primaryjoin="foreign(Brief.kind) == Kind.id", viewonly=True
    )


class Motif(Record):
    """A strand of the theme."""

    __tablename__ = "motifs"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    says: Mapped[str] = mapped_column(Text)


class Note(Record):
    """Free text about anything."""

    __tablename__ = "notes"

    # None on the rack, which belongs to no brief.
    brief_id: Mapped[str | None] = mapped_column(ForeignKey("briefs.id"), index=True)
    about_kind: Mapped[str] = mapped_column(String(20))
    about_id: Mapped[str] = mapped_column(String(26), index=True)
    text: Mapped[str] = mapped_column(Text)
    # What was noted before there was anybody to share with was meant for nobody else.
    private: Mapped[bool] = mapped_column(default=True, server_default="1")


reference_motifs = Table(
    "reference_motifs",
    Base.metadata,
    Column("reference_id", ForeignKey("references.id"), primary_key=True),
    Column("motif_id", ForeignKey("motifs.id"), primary_key=True),
)


class Reference(Corrected, Record):
    """A picture or a passage that the theme draws on, with its credit and rights."""

    __tablename__ = "references"

    brief_id: Mapped[str] = brief_key()
    kind: Mapped[str] = mapped_column(String(10))
    title: Mapped[str] = mapped_column(String(200))
    passage: Mapped[str] = mapped_column(Text)
    credit: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(String(500))
    rights: Mapped[str] = mapped_column(String(500))
    # Whose leave there is to publish it, where its rights alone do not give it.
    permission: Mapped[str] = mapped_column(String(200), default="", server_default=text("''"))
    private: Mapped[bool]
    # In the maker's own order, from 1; what was never moved comes last, as it was added.
    position: Mapped[int | None]
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))

    motifs: Mapped[list[Motif]] = relationship(
        secondary=reference_motifs, order_by=Motif.id, lazy="selectin"
    )


class Palette(Record):
    """Colours pulled out of a picture, with the parameters that made them."""

    __tablename__ = "palettes"

    brief_id: Mapped[str] = brief_key()
    reference_id: Mapped[str] = mapped_column(ForeignKey("references.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    asked: Mapped[str] = mapped_column(String(10))
    region: Mapped[str | None] = mapped_column(String(80))
    seed: Mapped[int]
    algorithm: Mapped[str] = mapped_column(String(40))
    correction: Mapped[dict[str, Any] | None]
    uncertainty: Mapped[float] = mapped_column(Float, server_default="10")
    # [{"lab": [L, a, b], "share": 0..1, "spread": CIEDE2000, "spot": [x %, y %]}, ...]
    colours: Mapped[list[Any]]
    accents: Mapped[list[Any]] = mapped_column(server_default="[]")  # as the colours


class Swatch(Record):
    """A colour that matters, named; out of a palette or typed in."""

    __tablename__ = "swatches"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    lab: Mapped[list[float]]
    uncertainty: Mapped[float] = mapped_column(Float)
    palette_id: Mapped[str | None] = mapped_column(ForeignKey("palettes.id"), index=True)
    # Counts the palette's colours and, on from them, its accents.
    palette_index: Mapped[int | None] = mapped_column(Integer)
    motif_id: Mapped[str | None] = mapped_column(ForeignKey("motifs.id"), index=True)
