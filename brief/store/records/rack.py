"""The rack: pieces, their photographs, finishes tried on them; and stocks to take pieces from."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from sqlalchemy import ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import EMPTY, Base, Corrected, LengthsAsTyped, Record, new_id


class Material(LengthsAsTyped, Record):
    """A piece on the rack, which all briefs share."""

    __tablename__ = "materials"

    label: Mapped[str] = mapped_column(String(200))
    # What others read in its place; empty leaves it to the species and the label.
    public_name: Mapped[str] = mapped_column(String(200), default="", server_default=EMPTY)
    stuff: Mapped[str] = mapped_column(String(20))
    species: Mapped[str] = mapped_column(String(200))
    provenance: Mapped[str] = mapped_column(String(500))
    length_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    thickness_mm: Mapped[float | None]
    # How the growth rings run to its face: quartersawn, flatsawn, or not said.
    cut: Mapped[str] = mapped_column(String(20), default="not said", server_default="not said")
    # kg/m³ as the maker knows it; and what the piece weighs, which gives it with the sizes.
    density: Mapped[float | None]
    weight_g: Mapped[float | None]
    price: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))
    reading: Mapped[str] = mapped_column(String(100))
    # CIEDE2000 of the reading itself; None of one kept before that was asked: an instrument's.
    reading_uncertainty: Mapped[float | None]
    # CIEDE2000; what the file that the reading came in leaves uncertain beyond the reading itself.
    reading_doubt: Mapped[float] = mapped_column(default=0.0, server_default="0")
    # What follows from the reading and the bare photographs: the colour, how far its sources
    # disagree, and the figure as the first photograph shows it, its pixels folded into cells:
    # [[L, a, b, weight], ...]; they are most of a row, and wanted by verdicts alone.
    lab: Mapped[list[float] | None]
    uncertainty: Mapped[float | None]
    disagreement: Mapped[float | None]
    spread: Mapped[float | None]
    cells: Mapped[list[Any] | None] = mapped_column(deferred=True)
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    region: Mapped[str | None] = mapped_column(String(80))
    # What was measured of that photograph, as it was shot; by it the photograph is toned.
    shot_lab: Mapped[list[float] | None]


class Photograph(Corrected, LengthsAsTyped, Record):
    """One photograph of a piece on the rack, and what was measured from it."""

    __tablename__ = "photographs"

    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    state: Mapped[str] = mapped_column(String(20))
    finish: Mapped[str] = mapped_column(String(200))
    # Where the maker outlined it, as W3C selectors; where it was measured is in the findings.
    selections: Mapped[list[Any]]
    # What lies round the board in it is one white sheet, by which its light is evened out.
    surround_region: Mapped[str | None] = mapped_column(String(80))
    # Percent of the picture, "x,y x,y": the ends of a known length, and a line across the grain.
    scale_points: Mapped[str | None] = mapped_column(String(60))
    scale_mm: Mapped[float | None]
    grain_line: Mapped[str | None] = mapped_column(String(60))
    # What follows from it.
    lab: Mapped[list[float]]
    uncertainty: Mapped[float]
    spread: Mapped[float]
    cells: Mapped[list[Any]] = mapped_column(deferred=True)
    findings: Mapped[dict[str, Any]]


class Stock(Record):
    """What a merchant or a guild has: boards measured by their photographs, to look in. It is the
    maker's own affair and goes along with no brief; a piece that was taken into the rack does."""

    __tablename__ = "stocks"
    travels = False

    name: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(String(500))
    stuff: Mapped[str] = mapped_column(String(20))
    # Raised whenever a board was added or changed, so that what was read of it is read again.
    edition: Mapped[int] = mapped_column(default=0, server_default="0")


class Board(Base):
    """A board of a stock. Nothing of it is the maker's to change, so that it is no record."""

    __tablename__ = "boards"
    __table_args__ = (
        Index("uq_boards_stock_id", "stock_id", "photo_sha256", unique=True),
        Index("ix_boards_stock_id", "stock_id", "id"),  # a page of them without sorting all
    )

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    stock_id: Mapped[str] = mapped_column(ForeignKey("stocks.id"))
    # The merchant's photograph, which is not kept unless that was asked for; and what is shown: a
    # small one, or itself. Of a board that came in a table alone: what its row is called, and None.
    photo_sha256: Mapped[str] = mapped_column(String(64))
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    file: Mapped[str] = mapped_column(String(500))
    # As the merchant's table has it.
    label: Mapped[str] = mapped_column(String(200))
    species: Mapped[str] = mapped_column(String(200))
    length_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    thickness_mm: Mapped[float | None]
    price: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))
    # Its other columns: {"moisture": "8 %", ...}.
    more: Mapped[dict[str, Any]]
    # The colour, in columns of its own: all of a stock are read at once.
    lightness: Mapped[float]
    a: Mapped[float]
    b: Mapped[float]
    uncertainty: Mapped[float]
    spread: Mapped[float | None]
    figure: Mapped[str] = mapped_column(String(20))
    grain_deg: Mapped[float | None]
    # All columns of a photograph that were measured, but for its cells; {} without one.
    measured: Mapped[dict[str, Any]] = mapped_column(deferred=True)
    # The piece of the rack that was made of it last.
    piece_id: Mapped[str | None] = mapped_column(ForeignKey("materials.id"))


class FinishTest(Record):
    """The same offcut before and after a finish, as a shift of its colour."""

    __tablename__ = "finish_tests"

    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    before_id: Mapped[str] = mapped_column(ForeignKey("photographs.id"), index=True)
    after_id: Mapped[str] = mapped_column(ForeignKey("photographs.id"), index=True)
    # {"d_lab": [dL, da, db], "uncertainty": CIEDE2000, "delta_e": CIEDE2000}
    shift: Mapped[dict[str, Any]]
