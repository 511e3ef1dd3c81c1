"""Times by the clocks of a place: its IANA zone, and the moment in UTC that a time there is.

Days and times of day are kept as they are read there, so that a change of the rules of a zone moves
the moment and not the time on the ticket. Which moment is meant where clocks change is said by RFC
5545, 3.3.5, and PEP 495 (fold 0) does the same: of a time that comes twice the first, and a time
that is left out by the clock as it went before.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from difflib import get_close_matches
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from brief.english import words
from brief.errors import InputError, quoted

TIME = re.compile(r"(\d{1,2})[:.h](\d{2})")
GOOD_TIME = "09:40"
_AREAS = re.compile(
    "(Africa|America|Antarctica|Arctic|Asia|Atlantic|Australia|Europe|Indian|Pacific)/"
)
MOST_OFFERED = 3


@dataclass(frozen=True)
class Moment:
    """A time at a place. wall : by the clocks there; utc : the same moment; remark : which moment
    was taken where the clocks leave it open, in words, or "".
    """

    wall: datetime
    utc: datetime
    remark: str = ""


def read_time(text: str) -> str:
    """A time of day as it is kept, "09:40"; "" of nothing. Raises InputError for what is none.

    >>> read_time("9.05"), read_time(" 23:59 "), read_time("")
    ('09:05', '23:59', '')
    """
    bare = text.strip().casefold()
    if not bare:
        return ""
    found = TIME.fullmatch(bare)
    if found is None or int(found[1]) > 23 or int(found[2]) > 59:
        raise InputError(f"{quoted(text)} is no time of day. Write it as {GOOD_TIME}, up to 23:59.")
    return f"{int(found[1]):02}:{found[2]}"


@cache
def zone_names() -> tuple[str, ...]:
    """The zones to choose from, by area and town: what older names there are is read as well."""
    return tuple(sorted(one for one in available_timezones() if _AREAS.match(one)))


@cache
def _known() -> Mapping[str, str]:
    """All names as they are looked up; a town alone is as good as its zone if it has only one."""
    every = {one.casefold(): one for one in available_timezones()}
    towns: dict[str, set[str]] = {}
    for one in zone_names():
        towns.setdefault(one.rpartition("/")[2].casefold(), set()).add(one)
    alone = {town: min(those) for town, those in towns.items() if len(those) == 1}
    return alone | every


def read_zone(text: str) -> str:
    """The IANA name of a time zone. Raises InputError, with the nearest names, for what is none.

    >>> read_zone("europe/berlin"), read_zone("New York")
    ('Europe/Berlin', 'America/New_York')
    """
    bare = "_".join(text.casefold().split())
    known = _known()
    if bare in known:
        return known[bare]
    near = [known[one] for one in get_close_matches(bare, known, MOST_OFFERED, 0.6)]
    offered = list(dict.fromkeys(near)) or ["Europe/Berlin", "America/New_York"]
    raise InputError(
        f"{quoted(text)} is no time zone of the IANA list. {'Near it' if near else 'Examples'}: "
        f"{words(offered)}."
    )


def moment(day: date, time: str, zone: str) -> Moment:
    """A day and a time of day, "09:40", by the clocks of a zone. Raises InputError where a calendar
    has no such moment in UTC.
    """
    hour, minute = map(int, time.split(":"))
    wall = datetime(day.year, day.month, day.day, hour, minute)
    known = ZoneInfo(zone)
    first, second = (wall.replace(tzinfo=known, fold=fold) for fold in (0, 1))
    try:
        utc = first.astimezone(UTC)
        told = f"{time} on {day.day} {day:%B %Y}"
        if first.utcoffset() == second.utcoffset():
            return Moment(wall, utc)
        back = utc.astimezone(known)
    except OverflowError as exc:
        raise InputError("Choose a day within the years 2 and 9998, e.g. 2027-05-14.") from exc
    if back.replace(tzinfo=None) == wall:
        again = second.astimezone(UTC) - utc
        return Moment(
            wall, utc, f"{told} comes twice in {zone}: the first is taken, {_ago(again)} earlier."
        )
    return Moment(
        wall, utc, f"{told} is left out in {zone}: clocks go forward, so {back:%H:%M} is meant."
    )


def _ago(between: timedelta) -> str:
    minutes = round(between.total_seconds() / 60)
    return f"{minutes // 60} h" if minutes % 60 == 0 else f"{minutes} min"
