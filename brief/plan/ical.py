"""Days as a calendar reads them: iCalendar (RFC 5545), with the names of RFC 7986.

All events are whole days without a time of day, so that no zone and no change of clocks can move
them. A later copy replaces an earlier one by its UIDs and its SEQUENCE.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

MEDIA_TYPE = "text/calendar"
LONGEST_LINE = 75  # bytes, RFC 5545, 3.1
REFRESH = "PT6H"  # how often a calendar that subscribes may ask again
_SEQUENCE_FROM = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Event:
    """Whole days from `first` to `last`, both of them included. uid : the same in each copy."""

    uid: str
    first: date
    last: date
    summary: str
    description: str = ""


def calendar_text(name: str, events: Iterable[Event], now: datetime) -> str:
    """A calendar of these events as it is at `now`, in UTC."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//The Luthier's Brief//Run-up//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{_escaped(name)}",
        f"X-WR-CALNAME:{_escaped(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:{REFRESH}",
        f"X-PUBLISHED-TTL:{REFRESH}",
    ]
    for event in events:
        lines += _lines(event, now)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line))


def _lines(event: Event, now: datetime) -> Iterator[str]:
    stamp = f"{now.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield "BEGIN:VEVENT"
    yield f"UID:{_escaped(event.uid)}"
    yield f"DTSTAMP:{stamp}"
    # One more than in any copy before; some calendars refuse a file whose number is not higher.
    yield f"SEQUENCE:{int((now - _SEQUENCE_FROM).total_seconds() // 60)}"
    yield f"DTSTART;VALUE=DATE:{_digits(event.first)}"
    if event.last < date.max:  # without an end it is one day (RFC 5545, 3.6.1)
        after = event.last + timedelta(days=1)  # the first day that is not of it
        yield f"DTEND;VALUE=DATE:{_digits(after)}"
    yield f"SUMMARY:{_escaped(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{_escaped(event.description)}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _digits(day: date) -> str:
    """20270514; a year has four digits whichever it is, which strftime leaves to the system."""
    return day.isoformat().replace("-", "")


def _escaped(text: str) -> str:
    """A text as a value: RFC 5545, 3.3.11. Control characters have no place in one."""
    told = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    told = told.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(one for one in told if one == "\t" or (one >= " " and one != "\x7f"))


def _folded(line: str) -> Iterator[str]:
    """In lines of at most 75 bytes, never within a letter; those that go on begin with a blank."""
    part, used = "", 0
    for letter in line:
        size = len(letter.encode())
        if used + size > LONGEST_LINE:
            yield part
            part, used = " ", 1
        part += letter
        used += size
    yield part
