"""From when to when, by the clocks of two places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any

from brief.errors import InputError
from brief.plan.clock import Moment, moment
from brief.services.common.formatting import day


@dataclass(frozen=True)
class Span:
    """From a day to a day, both included; start, end : the moments, None while a time of day is
    not known.
    """

    first: date
    last: date
    start: Moment | None
    end: Moment | None

    @classmethod
    def of(cls, record: Any, names: Sequence[str], zone: str, zone_there: str = "") -> Span:
        """As a record or the fields of one keep it. names : of its four: day and time of its
        beginning, and of its end. Raises InputError for a day that has no moment in UTC.
        """
        first, from_at, last, until_at = (
            record[name] if isinstance(record, Mapping) else getattr(record, name) for name in names
        )
        end = last or first
        return cls(
            first,
            end,
            moment(first, from_at, zone) if from_at else None,
            moment(end, until_at, zone_there or zone) if until_at else None,
        )

    @property
    def remarks(self) -> tuple[str, ...]:
        """What was made of times that clocks leave open."""
        return tuple(one.remark for one in (self.start, self.end) if one and one.remark)

    @property
    def minutes(self) -> int | None:
        """How long it is; None while a time is not known."""
        if self.start is None or self.end is None:
            return None
        return round((self.end.utc - self.start.utc).total_seconds() / 60)

    @property
    def words(self) -> str:
        """ "14 May 2027, 09:40 to 15:05": by the clocks of each place."""
        times = self.times
        if self.first == self.last:
            return f"{day(self.first)}, {times}" if times else day(self.first)
        same = self.first.year == self.last.year
        begins = f"{self.first.day} {self.first:%B}" if same else day(self.first)
        start, end = _clock(self.start), _clock(self.end)
        return f"{begins}{start and f' {start}'} to {day(self.last)}{end and f' {end}'}"

    @property
    def times(self) -> str:
        """The same beside its first day: "09:40 to 15:05", "21:30 to 15 May 06:45"."""
        start, end = _clock(self.start), _clock(self.end)
        if self.first != self.last:
            end = f"{self.last.day} {self.last:%B}{end and f' {end}'}"
        if not end:
            return start
        return f"{start} to {end}" if start else f"until {end}"

    @property
    def sorted_by(self) -> datetime:
        """Its beginning by the clocks there; all day counts from the morning."""
        return self.start.wall if self.start else datetime.combine(self.first, time())


def _clock(one: Moment | None) -> str:
    return f"{one.wall:%H:%M}" if one else ""


def check_span(span: Span, fields: Sequence[str]) -> None:
    """Raise InputError if it ends before it begins. fields : the names of its four."""
    _, _, last_on, until_at = fields
    if span.last < span.first and (span.minutes is None or span.minutes <= 0):
        raise InputError.at(last_on, "This is before it begins. Choose a later day.")
    if span.minutes is not None and span.minutes <= 0:
        raise InputError.at(
            until_at,
            "By the clocks of both places this is not after it begins. Choose a later time or day.",
        )
