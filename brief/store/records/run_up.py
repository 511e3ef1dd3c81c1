"""The work up to the day: stages, and days away from the bench."""

from __future__ import annotations

from datetime import date
from typing import Any

from sqlalchemy import String
from sqlalchemy.orm import Mapped, mapped_column

from brief.store.records.base import Record, brief_key


class Stage(Record):
    """A stage of the work on an instrument."""

    __tablename__ = "stages"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # Ids of the stages that must come before it. One in the offcuts bin hands on its own.
    follows: Mapped[list[Any]]
    # Estimates in hours, and days on the calendar behind it, with what for.
    quick_h: Mapped[float]
    likely_h: Mapped[float]
    slow_h: Mapped[float]
    wait_days: Mapped[float]
    wait_for: Mapped[str] = mapped_column(String(200))
    # Whether the instrument could be without it.
    spare: Mapped[bool]
    spent_h: Mapped[float | None]
    done_on: Mapped[date | None]
    # The stage of brief/plan/stages.toml that it began as.
    usual: Mapped[str] = mapped_column(String(40))


class Absence(Record):
    """Days on which the bench is not free for an instrument: a holiday, another commission."""

    __tablename__ = "absences"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # None for what has begun already.
    first_on: Mapped[date | None]
    last_on: Mapped[date]
