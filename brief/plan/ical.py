"""Days as a calendar reads them: iCalendar (RFC 5545), with the names of RFC 7986.

An event is whole days without a time of day, or a time in UTC, so that no zone and no change of
clocks can move it: no VTIMEZONE is written, of which readers know different things. A later copy
replaces an earlier one by its UIDs and its SEQUENCE.
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


@dataclass(frozen=True)
class Appointment:
    """From one moment to another, both aware; uid : as that of an event. ends : None where it is
    not known. place : where. remind : how long before it a calendar may say so; None: not at all.
    """

    uid: str
    begins: datetime
    ends: datetime | None
    summary: str
    description: str = ""
    place: str = ""
    remind: timedelta | None = None


def calendar_text(name: str, events: Iterable[Event | Appointment], now: datetime) -> str:
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


def _lines(event: Event | Appointment, now: datetime) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{_escaped(event.uid)}"
    yield f"DTSTAMP:{_in_utc(now)}"
    # One more than in any copy before; some calendars refuse a file whose number is not higher.
    yield f"SEQUENCE:{int((now - _SEQUENCE_FROM).total_seconds() // 60)}"
    yield from _when(event)
    yield f"SUMMARY:{_escaped(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{_escaped(event.description)}"
    if isinstance(event, Appointment):
        yield from _of_appointment(event)
    else:
        yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _when(event: Event | Appointment) -> Iterator[str]:
    if isinstance(event, Appointment):
        yield f"DTSTART:{_in_utc(event.begins)}"
        if event.ends is not None:
            yield f"DTEND:{_in_utc(event.ends)}"
        return
    yield f"DTSTART;VALUE=DATE:{_digits(event.first)}"
    if event.last < date.max:  # without an end it is one day (RFC 5545, 3.6.1)
        after = event.last + timedelta(days=1)  # the first day that is not of it
        yield f"DTEND;VALUE=DATE:{_digits(after)}"


def _of_appointment(event: Appointment) -> Iterator[str]:
    if event.place:
        yield f"LOCATION:{_escaped(event.place)}"
    if event.remind is not None:  # RFC 5545, 3.6.6; a calendar that subscribes may pass it over
        yield "BEGIN:VALARM"
        yield "ACTION:DISPLAY"
        yield f"DESCRIPTION:{_escaped(event.summary)}"
        yield f"TRIGGER:-PT{round(event.remind.total_seconds() / 60)}M"
        yield "END:VALARM"


def _in_utc(moment: datetime) -> str:
    """20270514T074000Z; a year has four digits whichever it is."""
    utc = moment.astimezone(UTC)
    return f"{_digits(utc.date())}T{utc:%H%M%S}Z"


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
