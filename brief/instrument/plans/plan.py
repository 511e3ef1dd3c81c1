"""A drawing to measure from: shapes in true millimetres, whatever they are written as.

A plan has its origin at the upper left of the sheet, x to the right and y down. Everything on it
is a line through points, a circle or words, and lies on a layer that is plainly named. What a
machine does is a layer of its own (`TOOLED`); all others are to read, and no tool follows them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from brief.instrument.curve import Point

Layer = Literal[
    "cut through",
    "hole",
    "pocket",
    "channel",
    "slots",
    "engrave",
    "reference",
    "strings",
    "centre line",
    "dimensions",
    "words",
    "title block",
    "cautions",
]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Pen:
    """How a layer is drawn: colour "#rrggbb", width and dashes (drawn, left out) in mm."""

    colour: str
    width_mm: float
    dashes: tuple[float, ...] = ()


INK, SOFT, ACCENT = "#26221d", "#6d655a", "#9c3d22"
PENS: dict[Layer, Pen] = {
    "cut through": Pen(INK, 0.3),
    "hole": Pen(INK, 0.3),
    "pocket": Pen(INK, 0.15),
    "channel": Pen(INK, 0.15),
    "slots": Pen(INK, 0.2),
    "engrave": Pen(INK, 0.1),
    "reference": Pen(SOFT, 0.15),
    "strings": Pen(SOFT, 0.1),
    "centre line": Pen(ACCENT, 0.1, (6.0, 1.5, 1.0, 1.5)),
    "dimensions": Pen(SOFT, 0.1),
    "words": Pen(INK, 0.1),
    "title block": Pen(INK, 0.2),
    "cautions": Pen(ACCENT, 0.1),
}
TOOLED: dict[Layer, str] = {
    "cut through": "through; the part is inside the line",
    "hole": "through; the part is outside the line",
    "pocket": "let in, and cleared all over",
    "channel": "let in between two lines",
    "slots": "a saw or thin cutter follows the line",
    "engrave": "marks, no deeper than a scratch",
}
"""The layers that a tool follows, and what it does there."""
CIRCLE_STEPS = 60
LETTER = 0.62  # of its height is the width of a letter, on average


@dataclass(frozen=True)
class Line:
    """A line through points; `closed` joins the last to the first."""

    layer: Layer
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle on a layer; mm."""

    layer: Layer
    middle: Point
    radius_mm: float


@dataclass(frozen=True)
class Words:
    """Words on a base line that starts, ends or is halved at `at`; `upright` reads upwards.

    cell : row and column in a table, whose heads are row 0; None outside of one.
    """

    layer: Layer
    at: Point
    text: str
    height_mm: float = 3.0
    anchor: Anchor = "start"
    upright: bool = False
    cell: tuple[int, int] | None = None


Shape = Line | Circle | Words


@dataclass(frozen=True)
class TitleBlock:
    """What a maker calls the instrument, which revision of it this is, and the date; any text.

    `outline` says how far off the widths of its outline may be, where they are not exact.
    """

    instrument: str
    revision: str
    date: str
    outline: str = ""


@dataclass(frozen=True)
class Block:
    """Shapes that belong together and may stand anywhere: notes, a table, the title block.

    `shapes` have their place on the sheet; `others` are the same in other proportions.
    """

    shapes: tuple[Shape, ...]
    others: tuple[tuple[Shape, ...], ...] = ()


@dataclass(frozen=True)
class Plan:
    """One sheet, `width_mm` by `height_mm`, `scale` times smaller than the instrument.

    `drawing` is what has its place, `blocks` what pages may move.
    """

    sheet: str
    block: TitleBlock
    width_mm: float
    height_mm: float
    drawing: tuple[Shape, ...]
    blocks: tuple[Block, ...] = ()
    scale: int = 1

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """All of it, as it lies on one sheet."""
        return (*self.drawing, *(shape for block in self.blocks for shape in block.shapes))


def moved(shapes: Sequence[Shape], x: float, y: float) -> tuple[Shape, ...]:
    """The same shapes farther to the right and down, mm."""
    return tuple(_moved(shape, x, y) for shape in shapes)


def _moved(shape: Shape, x: float, y: float) -> Shape:
    match shape:
        case Line():
            return replace(shape, points=tuple((a + x, b + y) for a, b in shape.points))
        case Circle():
            return replace(shape, middle=(shape.middle[0] + x, shape.middle[1] + y))
        case Words():
            return replace(shape, at=(shape.at[0] + x, shape.at[1] + y))


def as_line(shape: Shape) -> Line | None:
    """A line or a circle as a run of points, None for words."""
    if isinstance(shape, Circle):
        (x, y), r = shape.middle, shape.radius_mm
        turns = [2 * math.pi * i / CIRCLE_STEPS for i in range(CIRCLE_STEPS)]
        run = tuple((x + r * math.cos(turn), y + r * math.sin(turn)) for turn in turns)
        return Line(shape.layer, run, closed=True)
    return shape if isinstance(shape, Line) else None


def box_of_all(shapes: Sequence[Shape]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of shapes together, at least one."""
    boxes = [box_of(shape) for shape in shapes]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def box_of(shape: Shape) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a shape; of words, about."""
    match shape:
        case Line():
            xs, ys = [x for x, _ in shape.points], [y for _, y in shape.points]
            return min(xs), min(ys), max(xs), max(ys)
        case Circle():
            (x, y), r = shape.middle, shape.radius_mm
            return x - r, y - r, x + r, y + r
        case Words():
            (x, y), long = shape.at, len(shape.text) * shape.height_mm * LETTER
            before = long * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor]
            if shape.upright:
                return x - shape.height_mm, y - long + before, x, y + before
            return x - before, y - shape.height_mm, x - before + long, y
