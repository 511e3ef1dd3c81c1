"""Where the asking price goes, as a picture: one bar, parted, with a pattern and a name for each.

Above it a whisker: where the costs end if the work goes quickly, and if it goes slowly. SVG whose
colours are the classes of `cost.css`; its two widths have the same text sizes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape

from brief.money.amounts import money
from brief.money.costing import Costing

WIDE, NARROW = 800, 320
EDGE = 20  # room for a line to each name of parts that have next to no length
PRICE_Y, WHISKER_Y = 14, 42
BAR_TOP, BAR_FOOT = 54, 118
LABEL_TOP, LABEL_TALL = 132, 34
LETTER = 6.4  # wider than most at 11 px, so that no two names touch
LEAST_WIDTH = 1.5
APART = 3  # the lines to two names
MISSING = "missing"  # by what the price is less than the costs
NAMES: Mapping[str, str] = {
    "wood": "wood",
    "bought": "bought",
    "commission": "commission",
    "overhead": "overhead",
    "hours": "hours",
    "left": "left",
    MISSING: "missing",
}
# Two shapes each, on a tile of 8 px; none is told by its colour alone.
PATTERNS: Mapping[str, str] = {
    "wood": '<path d="M0 2H8M0 6H8"/>',
    "bought": '<circle cx="2" cy="2" r="1.1"/><circle cx="6" cy="6" r="1.1"/>',
    "commission": '<path d="M0 0L8 8M8 0L0 8"/>',
    "overhead": '<path d="M2 0V8M6 0V8"/>',
    "hours": "",
    "left": "",
    MISSING: '<path d="M-2 2L2 -2M0 8L8 0M6 10L10 6"/>',
}


@dataclass(frozen=True)
class _Scale:
    most: Decimal
    width: int

    def x(self, amount: Decimal) -> float:
        """Of an amount, from the left edge of the bar."""
        return EDGE + (self.width - 2 * EDGE) * float(amount / self.most)


@dataclass(frozen=True)
class _Segment:
    what: str
    left: float
    right: float
    amount: str


@dataclass(frozen=True)
class _Label:
    segment: _Segment
    x: float
    row: int


def cost_picture(found: Costing, said: str, *, width: int = WIDE, prefix: str = "cost") -> str:
    """The picture, SVG. said : what it shows, in words; prefix : begins its ids.

    `found` has a price or costs.
    """
    scale = _Scale(max(found.price, found.cost, found.cost_slow), width)
    segments = _segments(found, scale)
    labels = _placed(segments, width)
    foot = LABEL_TOP + LABEL_TALL * (1 + max((one.row for one in labels), default=0))
    parts = [
        *_patterns(prefix),
        *(_bar(one, prefix) for one in segments),
        *_price(found, scale),
        *_spread(found, scale),
        *(line for one in labels for line in _label(one)),
    ]
    return (
        f'<svg class="cost-picture" viewBox="0 0 {width} {foot}" role="img" '
        f'aria-label="{escape(said)}">{"".join(parts)}</svg>'
    )


def pattern_of(what: str, prefix: str) -> str:
    """The pattern of a part, SVG, for a key of its own."""
    return (
        f'<pattern id="{prefix}-{what}" width="8" height="8" patternUnits="userSpaceOnUse">'
        f'<rect class="co-{what}" width="8" height="8"/><g class="co-lines">{PATTERNS[what]}</g>'
        "</pattern>"
    )


def _patterns(prefix: str) -> Iterator[str]:
    for what in PATTERNS:
        yield pattern_of(what, prefix)


def _segments(found: Costing, scale: _Scale) -> list[_Segment]:
    at = Decimal(0)
    made = []
    for one in found.portions:
        if one.amount <= 0:
            continue
        end = at + one.amount
        amount = money(one.amount, found.currency)
        made.append(_Segment(one.what, scale.x(at), scale.x(end), amount))
        at = end
    if found.left < 0:
        short = money(-found.left, found.currency)
        made.append(_Segment(MISSING, scale.x(found.price), scale.x(found.cost), short))
    return made


def _bar(one: _Segment, prefix: str) -> str:
    inset = 6 if one.what == MISSING else 0  # over what it is a part of
    return (
        f'<rect class="co-part" x="{one.left:.1f}" y="{BAR_TOP + inset}" '
        f'width="{max(one.right - one.left, LEAST_WIDTH):.1f}" '
        f'height="{BAR_FOOT - BAR_TOP - 2 * inset}" fill="url(#{prefix}-{one.what})">'
        f"<title>{NAMES[one.what]}: {escape(one.amount)}</title></rect>"
    )


def _spread(found: Costing, scale: _Scale) -> Iterator[str]:
    """Where the costs end: quick, likely, slow."""
    if found.cost_slow <= found.cost_quick:
        return
    quick, likely, slow = map(scale.x, (found.cost_quick, found.cost, found.cost_slow))
    yield (
        f'<rect class="co-spread" x="{quick:.1f}" y="{BAR_TOP}" '
        f'width="{max(slow - quick, LEAST_WIDTH):.1f}" height="{BAR_FOOT - BAR_TOP}"/>'
    )
    yield (
        f'<path class="co-whisker" d="M{quick:.1f} {WHISKER_Y - 5}V{BAR_FOOT}'
        f"M{slow:.1f} {WHISKER_Y - 5}V{BAR_FOOT}M{quick:.1f} {WHISKER_Y}H{slow:.1f}"
        f'"/><circle class="co-likely" cx="{likely:.1f}" cy="{WHISKER_Y}" r="4"/>'
    )
    room = scale.width - EDGE - slow > len("slow") * LETTER + 4
    yield f'<text text-anchor="end" x="{quick - 4:.1f}" y="{WHISKER_Y + 4}">quick</text>'
    if room:
        yield f'<text x="{slow + 4:.1f}" y="{WHISKER_Y + 4}">slow</text>'
    elif slow - likely > len("slow") * LETTER + 10:
        yield f'<text text-anchor="end" x="{slow - 4:.1f}" y="{WHISKER_Y - 3}">slow</text>'
    else:
        yield f'<text text-anchor="end" x="{slow:.1f}" y="{WHISKER_Y - 9}">slow</text>'


def _price(found: Costing, scale: _Scale) -> Iterator[str]:
    at = scale.x(found.price)
    words = f"asking price {money(found.price, found.currency)}"
    end = at - len(words) * LETTER > EDGE
    yield f'<line class="co-price" x1="{at:.1f}" x2="{at:.1f}" y1="4" y2="{BAR_FOOT + 4}"/>'
    yield (
        f'<text class="co-asked" text-anchor="{"end" if end else "start"}" '
        f'x="{at - 5 if end else at + 5:.1f}" y="{PRICE_Y}">{escape(words)}</text>'
    )


def _placed(segments: Sequence[_Segment], width: int) -> list[_Label]:
    """Each name below its part: from the right, in the first row in which it crosses nothing."""
    limits = [float(width)] * (len(segments) + 1)  # by row: where what is to the right begins
    found = []
    for one in sorted(segments, key=lambda each: each.left, reverse=True):
        wide = max(len(NAMES[one.what]), len(one.amount)) * LETTER + 3
        begin = min(one.left + 1, width - wide - 4, limits[0] - APART)
        row = next(
            (at for at, limit in enumerate(limits) if begin + wide + 4 <= limit), len(limits) - 1
        )
        limits[: row + 1] = [begin] * (row + 1)  # its line goes through the rows above it
        found.append(_Label(one, begin, row))
    return found


def _label(one: _Label) -> Iterator[str]:
    top = LABEL_TOP + one.row * LABEL_TALL
    yield (
        f'<path class="co-lead" d="M{one.segment.left:.1f} {BAR_FOOT}L{one.x:.1f} {LABEL_TOP - 4}'
        f'V{top + 22}"/>'
    )
    x, name = f"{one.x + APART:.1f}", NAMES[one.segment.what]
    yield f'<text class="co-name" x="{x}" y="{top + 9}">{name}</text>'
    yield f'<text x="{x}" y="{top + 23}">{escape(one.segment.amount)}</text>'
