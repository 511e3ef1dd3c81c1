"""What each part is made of, and the air that it must bear."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Record, brief_key


class Climate(Record):
    """The air that the instrument of a brief is in: where it is made, on its way, at its venue."""

    __tablename__ = "climates"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    stage: Mapped[str] = mapped_column(String(20))
    # As they were typed: one number for the whole year, or twelve from January on.
    humidity: Mapped[str] = mapped_column(String(200))
    temperature: Mapped[str] = mapped_column(String(200))
    # The one that counts, 1 to 12; None: all of the year.
    month: Mapped[int | None]


class Part(Record):
    """A part of the instrument: what it is made of and which colour it should carry."""

    __tablename__ = "parts"

    brief_id: Mapped[str] = brief_key()
    role: Mapped[str] = mapped_column(String(40))
    name: Mapped[str] = mapped_column(String(200))
    material_id: Mapped[str | None] = mapped_column(ForeignKey("materials.id"), index=True)
    swatch_id: Mapped[str | None] = mapped_column(ForeignKey("swatches.id"), index=True)
    motif_id: Mapped[str | None] = mapped_column(ForeignKey("motifs.id"), index=True)
    finish: Mapped[str] = mapped_column(String(200))
    sizes: Mapped[str] = mapped_column(String(500))
    # The colours on the day they were chosen, so that a later change shows.
    chosen_material_lab: Mapped[list[float] | None]
    chosen_swatch_lab: Mapped[list[float] | None]
    # How its photograph is laid: {"centre": 0..100, "match": "book-left", "turn": 90 or null};
    # None leaves it to the part.
    laying: Mapped[dict[str, Any] | None]
