"""A brief as it was: frozen, or computed by light."""

from __future__ import annotations

from typing import Any

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Record, brief_key


class StudioPicture(Record):
    """A picture of the instrument that was computed by light, of the brief as it was then."""

    __tablename__ = "studio_pictures"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    view: Mapped[str] = mapped_column(String(20))
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    # SHA-256 of all that went in: what would give the same picture has the same.
    made_of: Mapped[str] = mapped_column(String(64))
    # Sentences: how it was lit, and what of it is measured and what guessed.
    said: Mapped[list[Any]]
    private: Mapped[bool]


class Revision(Record):
    """A brief as it was when it was frozen."""

    __tablename__ = "revisions"

    brief_id: Mapped[str] = brief_key()
    letter: Mapped[str] = mapped_column(String(4))
    note: Mapped[str] = mapped_column(Text)
    # The brief's own version then: while it is the same, so are its drawings.
    brief_version: Mapped[int]
    # The whole brief, as a parcel without revisions; large, and wanted by few.
    document: Mapped[dict[str, Any]] = mapped_column(deferred=True)
