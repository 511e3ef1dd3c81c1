"""The instrument: kinds of the maker's own, outlines traced from moulds, and inlays."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import LengthsAsTyped, Record, brief_key


class Kind(LengthsAsTyped, Record):
    """A kind of instrument of the maker's own."""

    __tablename__ = "kinds"

    name: Mapped[str] = mapped_column(String(200))
    # All its numbers and its outline, as a file of brief/instrument/presets has them.
    drawing: Mapped[dict[str, Any]]
    # What a new brief of it comes with: [{"role": "top", "name": "Top", "sizes": "2.6 mm"}, ...].
    parts: Mapped[list[Any]]


class Tracing(LengthsAsTyped, Record):
    """An outline traced from the maker's own mould, drawn or photographed."""

    __tablename__ = "tracings"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    # Round the outline as it was found: percent of the picture, or millimetres of a drawing.
    points: Mapped[list[Any] | None]
    # Percent of the picture: a point inside the outline, and the ends of a known length.
    inside: Mapped[str | None] = mapped_column(String(30))
    # A sheet of known size that the photograph is made flat by: none, A4, Letter or other; its
    # corners where they were marked; and how far the mould's face is above it.
    sheet: Mapped[str] = mapped_column(String(6), default="none", server_default="none")
    sheet_corners: Mapped[str | None] = mapped_column(String(120))
    sheet_width_mm: Mapped[float | None]
    sheet_height_mm: Mapped[float | None]
    above_mm: Mapped[float | None]
    scale_points: Mapped[str | None] = mapped_column(String(60))
    scale_mm: Mapped[float | None]
    body_mm: Mapped[float | None]
    # A width measured on the mould, to check by: of the upper bout, the waist or the lower bout.
    check_at: Mapped[str] = mapped_column(String(5), default="lower", server_default="lower")
    check_mm: Mapped[float | None]
    turned: Mapped[bool]
    # Which of them count, with the neck up: both, left or right.
    halves: Mapped[str] = mapped_column(String(5), default="both", server_default="both")
    # Stations, how well they fit, and what is said of it.
    findings: Mapped[dict[str, Any]]


class Inlay(LengthsAsTyped, Record):
    """A design laid into a part of the instrument, and what was measured on it."""

    __tablename__ = "inlays"

    brief_id: Mapped[str] = brief_key()
    # The part that it is, whose material it shows.
    part_id: Mapped[str | None] = mapped_column(ForeignKey("parts.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    # "drawing" or "dot". Of a drawing its outlines alone are kept, as plain path data 100 mm
    # wide, with its width in its file and what was made of it in words.
    shape: Mapped[str] = mapped_column(String(10))
    path: Mapped[str] = mapped_column(Text)
    drawn_mm: Mapped[float]
    remarks: Mapped[list[Any]]
    # Where it lies, as brief.instrument.inlay.places.Place has it.
    lies_on: Mapped[str] = mapped_column(String(20))
    frets: Mapped[list[Any]]
    along_mm: Mapped[float | None]
    across_mm: Mapped[float]
    copies: Mapped[int]
    width_mm: Mapped[float]
    turn_deg: Mapped[float]
    mirrored: Mapped[bool]
    # What follows from it: brief.instrument.inlay.measures.Measured.
    measured: Mapped[dict[str, Any]]
