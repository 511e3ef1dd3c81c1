"""Links by which somebody outside reads a brief or its calendar."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Record, brief_key


class Secret:
    """What a secret in an address opens; that is kept as a hash alone."""

    __allow_unmapped__ = True

    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    # The secret itself, which only the desk that made it knows.
    token: str | None = None

    def __init__(self, *, token: str, **fields: Any) -> None:
        super().__init__(**fields)
        self.token = token


class Share(Secret, Record):
    """A link by which somebody outside may read a brief."""

    __tablename__ = "shares"
    travels = False

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # The revision that it shows; without one, the brief as it is.
    revision_id: Mapped[str | None] = mapped_column(ForeignKey("revisions.id"), index=True)
    sheets: Mapped[list[Any]]
    may_comment: Mapped[bool]
    expires_on: Mapped[date]
    withdrawn_utc: Mapped[datetime | None]


class CalendarLink(Secret, Record):
    """A link by which a calendar reads a run-up."""

    __tablename__ = "calendar_links"
    travels = False

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
