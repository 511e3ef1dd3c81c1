"""The run-up as a picture: time runs to the right; is the heap before the line?

Above, when all may be over: one heap of 10,000 runs, hatched where it is late. In the middle the
bench, stage after stage, the next one in colour. Below, what only waits, hatched. SVG whose colours
are the classes of `run-up.css`; its two widths have the same text sizes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

import numpy as np

from brief.plan.outlook import Outlook, Turn
from brief.plan.week import AHEAD_DAYS

WIDE, NARROW = 960, 360
EDGE = 14  # room at both sides, for the labels of the first and the last day
HEAP_TOP, HEAP_FOOT = 44, 112
BENCH_TOP, BENCH_FOOT = 122, 150
LANE, LANE_GAP = 11, 3
MOST_LANES = 4
NUMBER_WIDTH = 15  # a block as wide as this has its number in it
LEAST_WIDTH = 1.5
MONTH_ROOM = 34
LEAST_TICK, LEAST_TICK_DAYS = 5, 30  # ticks are no closer than that; days of a month
SPARE_DAYS = 6  # beyond the last of all that is shown


@dataclass(frozen=True)
class _Scale:
    first: date
    days: float
    width: float

    def x(self, days: float) -> float:
        """Of a time in days from `first`."""
        return EDGE + (self.width - 2 * EDGE) * days / self.days

    def of(self, day: date) -> float:
        """Of the beginning of a day."""
        return self.x((day - self.first).days)


def run_up_picture(
    found: Outlook,
    said: str,
    *,
    opening: date | None = None,
    width: int = WIDE,
    prefix: str = "run-up",
) -> str:
    """The picture, SVG. said : what it shows, in words; prefix : begins its ids."""
    scale = _scale(found, opening, width)
    waits, lanes = _waits(found.to_do, scale, found.bench.first)
    foot = BENCH_FOOT + 8 + lanes * (LANE + LANE_GAP) + 4
    parts = [
        *_hatches(prefix),
        *_away(found, scale, foot),
        *_heap(found, scale, prefix),
        *_bench(found, scale),
        *(rect.format(hatch=f"url(#{prefix}-wait)") for rect in waits),
        *_days(scale, foot),
        *_lines(found, opening, scale, foot),
    ]
    return (
        f'<svg class="run-up-picture" viewBox="0 0 {width} {foot + 20}" role="img" '
        f'aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


def _scale(found: Outlook, opening: date | None, width: int) -> _Scale:
    shown = [found.ready[0.95], found.bench.today, found.due, opening]
    shown += [turn.over for turn in found.to_do]
    farthest = found.bench.today + timedelta(days=AHEAD_DAYS)  # a slip of the pen is not drawn
    known = (day for day in shown if day is not None and day <= farthest)
    last = max(known) + timedelta(days=SPARE_DAYS)
    first = found.bench.today
    if found.due and found.due < first:  # what has passed is shown, too, if it is not long ago
        first = max(found.due, first - timedelta(days=60))
    return _Scale(first, (last - first).days + 1, width)


def _hatches(prefix: str) -> Iterator[str]:
    for name, turn in (("wait", 45), ("late", -45)):
        yield (
            f'<pattern id="{prefix}-{name}" width="5" height="5" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate({turn})">'
            f'<rect class="ru-{name}-ground" width="5" height="5"/>'
            f'<rect class="ru-{name}" width="1.8" height="5"/></pattern>'
        )


def _away(found: Outlook, scale: _Scale, foot: float) -> Iterator[str]:
    for one in found.bench.away:
        left = max(scale.of(one.first), EDGE)
        right = min(scale.x((one.last - scale.first).days + 1), scale.width - EDGE)
        if right > left:
            yield (
                f'<rect class="ru-away" x="{left:.1f}" y="{BENCH_TOP - 4}" '
                f'width="{right - left:.1f}" height="{foot - BENCH_TOP + 4:.0f}">'
                f"<title>{escape(one.name)}</title></rect>"
            )


def _heap(found: Outlook, scale: _Scale, prefix: str) -> Iterator[str]:
    """How many runs are over on each day, smoothed over a few, as one heap."""
    offset = (scale.first - found.bench.first).days
    ends = np.floor(found.ends - offset - 1e-3).clip(0, scale.days - 1)
    counts = np.bincount(ends.astype(np.intp), minlength=int(scale.days)).astype(float)
    wide = max(round(scale.days / 45), 1)
    counts = np.convolve(counts, np.ones(wide) / wide, mode="same")
    tall = (HEAP_FOOT - HEAP_TOP) * counts / max(counts.max(), 1e-9)
    days = np.flatnonzero(counts > 0)
    late_from = scale.days if found.due is None else (found.due - scale.first).days + 1
    for name, those in (
        ("ru-soon", days[days < late_from]),
        ("ru-late-heap", days[days >= late_from]),
    ):
        if len(those):
            steps = "".join(
                f"V{HEAP_FOOT - tall[at]:.1f}H{scale.x(at + 1):.1f}"
                for at in range(those[0], those[-1] + 1)
            )
            fill = f' fill="url(#{prefix}-late)"' if name == "ru-late-heap" else ""
            start = f"M{scale.x(those[0]):.1f} {HEAP_FOOT}"
            yield f'<path class="{name}"{fill} d="{start}{steps}V{HEAP_FOOT}Z"/>'


def _bench(found: Outlook, scale: _Scale) -> Iterator[str]:
    offset = (scale.first - found.bench.first).days
    numbers = {turn.stage.key: at for at, turn in enumerate(found.turns, 1)}
    yield _level(scale, BENCH_FOOT)
    to_do = [turn for turn in found.to_do if turn.until_time > turn.begin_time]
    for place, turn in enumerate(to_do):
        left, right = (scale.x(at - offset) for at in (turn.begin_time, turn.until_time))
        wide = max(right - left - 1, LEAST_WIDTH)
        kind = "ru-work" if place else "ru-next"
        yield (
            f'<rect class="{kind}" x="{left:.1f}" y="{BENCH_TOP}" width="{wide:.1f}" '
            f'height="{BENCH_FOOT - BENCH_TOP}"><title>{escape(turn.stage.name)}</title></rect>'
        )
        if wide >= NUMBER_WIDTH:
            yield (
                f'<text class="ru-number {kind}-number" x="{left + wide / 2:.1f}" '
                f'y="{BENCH_TOP + 18}">{numbers[turn.stage.key]}</text>'
            )


def _waits(turns: Sequence[Turn], scale: _Scale, first: date) -> tuple[list[str], int]:
    """The waits in lanes, so that none is over another."""
    offset = (scale.first - first).days
    ends: list[float] = []
    drawn = []
    for turn in turns:
        if turn.stage.wait_days <= 0:
            continue
        left, right = (scale.x(at - offset) for at in (turn.until_time, turn.over_time))
        free = [at for at, end in enumerate(ends) if end <= left + 0.5]
        lane = free[0] if free else min(len(ends), MOST_LANES - 1)
        ends[lane : lane + 1] = [right]
        top = BENCH_FOOT + 6 + lane * (LANE + LANE_GAP)
        drawn.append(
            f'<rect class="ru-waits" fill="{{hatch}}" x="{left:.1f}" y="{top}" '
            f'width="{max(right - left, LEAST_WIDTH):.1f}" height="{LANE}">'
            f"<title>{escape(turn.stage.name).replace('{', '&#123;').replace('}', '&#125;')}"
            "</title></rect>"
        )
    return drawn, len(ends)


def _level(scale: _Scale, y: float) -> str:
    return f'<line class="ru-base" x1="{EDGE}" x2="{scale.width - EDGE}" y1="{y}" y2="{y}"/>'


def _days(scale: _Scale, foot: float) -> Iterator[str]:
    """A tick at the beginning of each month, or of each year or ten where months are too close;
    its name where there is room."""
    yield _level(scale, foot)
    close = scale.x(LEAST_TICK_DAYS) - scale.x(0)
    every = next((years for years in (0, 1, 10) if close * max(years * 12, 1) >= LEAST_TICK), 100)
    last = scale.first + timedelta(days=scale.days - 1)
    if every:
        starts = [date(year, 1, 1) for year in range(scale.first.year, last.year + 1)]
        starts = [day for day in starts if day.year % every == 0]
    else:
        months = range(scale.first.year * 12 + scale.first.month - 1, last.year * 12 + last.month)
        starts = [date(month // 12, month % 12 + 1, 1) for month in months]
    told = scale.x(0) - MONTH_ROOM
    for day in starts:
        x = scale.of(day)
        if x < scale.x(0):
            continue
        yield f'<line class="ru-tick" x1="{x:.1f}" x2="{x:.1f}" y1="{foot}" y2="{foot + 5}"/>'
        if x - told >= MONTH_ROOM and x < scale.width - MONTH_ROOM:
            told = x
            named = f"{day:%Y}" if every else f"{day:%b}" if day.month > 1 else f"{day:%b %Y}"
            yield f'<text class="ru-day" x="{x + 2:.1f}" y="{foot + 16}">{named}</text>'


def _lines(found: Outlook, opening: date | None, scale: _Scale, foot: float) -> Iterator[str]:
    today = scale.of(found.bench.today)
    yield f'<path class="ru-today" d="M{today - 5:.1f} {BENCH_TOP - 9}h10l-5 8z"/>'
    labels = []  # over all lines
    for name, on, top, words in (
        ("ru-due", found.due, 14, "ready"),
        ("ru-opening", opening, 30, "opening"),
    ):
        if on is None or not 0 <= (on - scale.first).days < scale.days:
            continue
        x = scale.x((on - scale.first).days + (name == "ru-due"))
        side, anchor = (4, "start") if x < scale.width * 0.7 else (-4, "end")
        yield f'<line class="{name}" x1="{x:.1f}" x2="{x:.1f}" y1="{top - 10}" y2="{foot}"/>'
        labels.append(
            f'<text class="ru-label" text-anchor="{anchor}" x="{x + side:.1f}" y="{top}">'
            f"{words} {on.day} {on:%b %Y}</text>"
        )
    yield from labels
