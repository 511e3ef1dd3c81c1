"""The trip as a line of days: where one is, what moves, when the stand is open, where one sleeps.

Time runs to the right by the clocks of each place. On the line the legs, thick; above it the places
by name; below it the hours of the stand, and below those the nights. What is booked is solid, what
is open is hatched within its outline. SVG whose colours are the classes of `trip.css`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from html import escape
from typing import Literal

WIDE, NARROW = 960, 360
EDGE = 16
MARKS_FOOT = 50  # what is to be ready or to leave by then, above all
PLACE_Y, LINE_Y = 72, 90
LEG_HIGH, STAND_HIGH, NIGHT_HIGH = 16, 22, 13
STAND_TOP, NIGHT_TOP, FOOT = 108, 136, 158
MOST_DAYS, DAY_ROOM = 120, 30
LETTER = 6.4  # about as wide as a letter of the labels
LEAST_WIDTH = 3.0
MORNING, EVENING = time(8), time(18)  # of what has no time of day yet
BED, UP = time(22), time(7)  # of a night, as it is drawn
Kind = Literal["leg", "stand", "night", "other"]
MarkName = Literal["ready", "leave by", "opening"]


@dataclass(frozen=True)
class TripStretch:
    """Something from one time to another, by the clocks there. word : short, for the picture;
    to : of a leg, the name of the place that it comes to. border : whether that is a border.
    """

    kind: Kind
    start: datetime
    end: datetime
    booked: bool
    word: str
    at: str = ""
    to: str = ""
    border: bool = False


@dataclass(frozen=True)
class DayMark:
    """A day with a name: the day to be ready, the last to leave, the opening."""

    name: MarkName
    on: date


def trip_picture(
    stretches: Sequence[TripStretch],
    marks: Sequence[DayMark],
    said: str,
    *,
    width: int = WIDE,
    prefix: str = "trip",
) -> str:
    """The picture, SVG; "" without a leg. said : it in words. prefix : begins its ids."""
    legs = sorted((one for one in stretches if one.kind == "leg"), key=lambda one: one.start)
    if not legs:
        return ""
    scale = _scale(stretches, marks, width)
    parts = [
        _hatch(prefix),
        *_days(scale),
        *_marks(marks, scale),
        *_places(legs, scale),
        *_legs(legs, scale, prefix),
        *_below(stretches, scale, prefix),
    ]
    return (
        f'<svg class="trip-picture" viewBox="0 0 {width} {FOOT + 24}" role="img" '
        f'aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


@dataclass(frozen=True)
class _Scale:
    first: date
    days: int
    width: int

    def x(self, at: datetime) -> float:
        """Of a time by the clocks there, kept within the picture."""
        since = (at - datetime.combine(self.first, time())).total_seconds() / 86400
        return EDGE + (self.width - 2 * EDGE) * min(max(since / self.days, 0), 1)

    def of(self, day: date) -> float:
        """Of the beginning of a day."""
        return self.x(datetime.combine(day, time()))

    def shows(self, day: date) -> bool:
        """Whether that day is in the picture."""
        return 0 <= (day - self.first).days <= self.days


def _scale(stretches: Sequence[TripStretch], marks: Sequence[DayMark], width: int) -> _Scale:
    first = min(one.start for one in stretches).date()
    last = max(one.end for one in stretches).date()
    near = [one.on for one in marks if timedelta(0) <= first - one.on <= timedelta(days=7)]
    first = min([first, *near])
    last = max([last, *(one.on for one in marks if last < one.on <= last + timedelta(days=7))])
    return _Scale(first, min((last - first).days + 1, MOST_DAYS), width)


def _hatch(prefix: str) -> str:
    return (
        f'<pattern id="{prefix}-open" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><rect class="tp-ground" width="6" height="6"/>'
        '<rect class="tp-stripe" width="2" height="6"/></pattern>'
    )


def _days(scale: _Scale) -> Iterator[str]:
    """A line at the beginning of each day; its name where there is room, with each new month."""
    room = (scale.width - 2 * EDGE) / scale.days
    free, month = 0.0, 0
    for at in range(scale.days + 1):
        day = scale.first + timedelta(days=at)
        x = scale.of(day)
        yield f'<line class="tp-tick" x1="{x:.1f}" x2="{x:.1f}" y1="{MARKS_FOOT + 4}" y2="{FOOT}"/>'
        told = f"{day:%a} {day.day}" if room > DAY_ROOM else str(day.day)
        told += f" {day:%b}" if day.month != month else ""
        ends = x + 3 + LETTER * len(told)
        if at < scale.days and x >= free and ends < scale.width:
            free, month = ends + 6, day.month
            yield f'<text class="tp-day" x="{x + 3:.1f}" y="{FOOT + 15}">{told}</text>'
    yield f'<line class="tp-base" x1="{EDGE}" x2="{scale.width - EDGE}" y1="{FOOT}" y2="{FOOT}"/>'


def _marks(marks: Sequence[DayMark], scale: _Scale) -> Iterator[str]:
    """Each on a level of its own, so that no two are over each other."""
    for level, one in enumerate(sorted(marks, key=lambda one: one.on)):
        x, y = scale.of(one.on), 12 + level * 15
        if not scale.shows(one.on):
            yield _beyond(one, scale, y)
            continue
        side, anchor = (5, "start") if x < scale.width * 0.65 else (-5, "end")
        kind = one.name.replace(" ", "-")
        ends = f'x1="{x:.1f}" x2="{x:.1f}" y1="{y - 9}" y2="{FOOT}"'
        yield f'<line class="tp-mark tp-{kind}" {ends}/>'
        yield (
            f'<text class="tp-label" text-anchor="{anchor}" x="{x + side:.1f}" y="{y}">'
            f"{one.name} {one.on.day} {one.on:%b}</text>"
        )


def _beyond(one: DayMark, scale: _Scale, y: float) -> str:
    """A day that is too far off to be drawn: said at that edge, behind two strokes."""
    early = one.on < scale.first
    x, side, anchor = (EDGE, 12, "start") if early else (scale.width - EDGE, -12, "end")
    off = (scale.first - one.on).days if early else (one.on - scale.first).days - scale.days
    strokes = " ".join(f"M{x + side * share:.1f} {y}l4 -9" for share in (0, 0.4))
    return (
        f'<path class="tp-off" d="{strokes}"/>'
        f'<text class="tp-label" text-anchor="{anchor}" x="{x + side * 1.2:.1f}" y="{y}">'
        f"{one.name} {one.on.day} {one.on:%b}, {off} days {'before' if early else 'later'}</text>"
    )


def _places(legs: Sequence[TripStretch], scale: _Scale) -> Iterator[str]:
    """The names of the places over the line, each where one is there; the line itself."""
    start, end = scale.x(legs[0].start), scale.x(legs[-1].end)
    ends = f'x1="{EDGE}" x2="{scale.width - EDGE}" y1="{LINE_Y}" y2="{LINE_Y}"'
    yield f'<line class="tp-line" {ends}/>'
    for x in (start, end):
        yield f'<circle class="tp-end" cx="{x:.1f}" cy="{LINE_Y}" r="4"/>'
    wanted = [(start, legs[0].at, "end" if start > 90 else "start")]
    for one, following in zip(legs, [*legs[1:], None], strict=True):
        left = scale.x(one.end)
        right = scale.x(following.start) if following else left
        if following is None:
            wanted.append((left, one.to, "start" if left < scale.width - 90 else "end"))
        else:
            wanted.append(((left + right) / 2, one.to, "middle"))
    taken: list[tuple[float, float]] = []
    # The ends first, then the longest stays: of two names over each other the later has no room.
    for x, name, anchor in [wanted[0], wanted[-1], *wanted[1:-1]]:
        short = name if len(name) <= 22 else name[:21].rstrip() + "…"
        wide = LETTER * len(short)
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        left = min(max(left, EDGE), scale.width - EDGE - wide)
        if any(left < right + 6 and begin < left + wide + 6 for begin, right in taken):
            continue
        taken.append((left, left + wide))
        yield f'<text class="tp-place" x="{left:.1f}" y="{PLACE_Y}">{escape(short)}</text>'


def _legs(legs: Sequence[TripStretch], scale: _Scale, prefix: str) -> Iterator[str]:
    for one in legs:
        yield _bar(one, scale, LINE_Y - LEG_HIGH / 2, LEG_HIGH, "tp-leg", prefix)
    for one in legs:
        if one.border:
            x = scale.x(one.end)
            yield (
                f'<path class="tp-border" d="M{x:.1f} {LINE_Y - 13}l9 13l-9 13l-9 -13z">'
                f"<title>{escape(one.to)}</title></path>"
            )


def _below(stretches: Sequence[TripStretch], scale: _Scale, prefix: str) -> Iterator[str]:
    """The hours of the stand, with a word where there is room, and the nights."""
    for one in stretches:
        if one.kind == "night":
            for night in _each_night(one):
                yield _bar(night, scale, NIGHT_TOP, NIGHT_HIGH, "tp-night", prefix, round_by=6)
        elif one.kind in ("stand", "other"):
            yield _bar(one, scale, STAND_TOP, STAND_HIGH, f"tp-{one.kind}", prefix)
    for one in stretches:
        wide = scale.x(one.end) - scale.x(one.start)
        if one.kind == "stand" and wide >= LETTER * len(one.word) + 4:
            middle = (scale.x(one.start) + scale.x(one.end)) / 2
            kind = "tp-word" if one.booked else "tp-word is-open"
            yield (
                f'<text class="{kind}" x="{middle:.1f}" y="{STAND_TOP + 15}">'
                f"{escape(one.word)}</text>"
            )


def _each_night(one: TripStretch) -> Iterator[TripStretch]:
    """The nights of a stay, each by itself."""
    for at in range(min((one.end.date() - one.start.date()).days, MOST_DAYS)):
        eve = one.start.date() + timedelta(days=at)
        start = datetime.combine(eve, BED)
        yield replace(one, start=start, end=datetime.combine(eve + timedelta(days=1), UP))


def _bar(
    one: TripStretch,
    scale: _Scale,
    top: float,
    high: float,
    kind: str,
    prefix: str,
    round_by: float = 0,
) -> str:
    left, right = scale.x(one.start), scale.x(one.end)
    fill = "" if one.booked else f' fill="url(#{prefix}-open)"'
    rounded = f' rx="{round_by:g}"' if round_by else ""
    told = escape(f"{one.word}: {one.at}" if one.at else one.word)
    return (
        f'<rect class="{kind}{"" if one.booked else " is-open"}"{fill} '
        f'x="{left:.1f}" y="{top:.1f}" width="{max(right - left, LEAST_WIDTH):.1f}" height="{high}"'
        f"{rounded}><title>{told}{'' if one.booked else ', still open'}</title></rect>"
    )
