"""An inlay in its ground, and where the two are seen."""

from __future__ import annotations

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from brief.store.records.base import LengthsAsTyped, Record, brief_key
from brief.store.records.rack import Material


class Viewing(LengthsAsTyped, Record):
    """Where the piece of a brief will be seen."""

    __tablename__ = "viewings"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    distance_m: Mapped[float]
    # A CIE illuminant, or "lamp" for one known by its kelvin and colour rendering alone.
    light: Mapped[str] = mapped_column(String(20))
    kelvin: Mapped[float | None]
    rendering: Mapped[float | None]
    lux: Mapped[float | None]


class Pairing(LengthsAsTyped, Record):
    """An inlay asked about in a ground, with their colours as they were when asked."""

    __tablename__ = "pairings"

    brief_id: Mapped[str] = brief_key()
    ground_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    inlay_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    place: Mapped[str] = mapped_column(String(200))
    line_mm: Mapped[float | None]
    asked_ground_lab: Mapped[list[float]]
    asked_inlay_lab: Mapped[list[float]]

    ground: Mapped[Material] = relationship(foreign_keys=[ground_id], lazy="selectin")
    inlay: Mapped[Material] = relationship(foreign_keys=[inlay_id], lazy="selectin")
