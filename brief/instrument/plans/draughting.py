"""How a plan is drawn: lines, circles, words and dimensions, and the title block below them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from textwrap import wrap

from brief.instrument.curve import Point
from brief.instrument.plans.plan import (
    LETTER,
    Anchor,
    Block,
    Circle,
    Layer,
    Line,
    Plan,
    Shape,
    TitleBlock,
    Words,
    box_of,
    moved,
)
from brief.letters import one_line

MARGIN_MM, CELL_MM, BLOCK_MM = 6.0, 11.0, 150.0
CAUTION_MM, CAUTION_LINE_MM = 3.0, 4.5
MARK_MM = 1.5
NOTE_LETTERS, NARROW_LETTERS, NOTE_LINE_MM = 74, 38, 4.6  # to a line of notes, and its height
# Cells of the title block by their widths. A revision is whole: it tells the prints apart.
TITLE_ROWS: tuple[dict[str, float], ...] = (
    {"Instrument": BLOCK_MM},
    {"Sheet": 44.0, "Revision": 33.0, "Date": 46.0, "Scale": 27.0},
)
NARROW_TITLE_ROWS: tuple[dict[str, float], ...] = (
    {"Instrument": 77.0},
    {"Sheet": 44.0, "Revision": 33.0},
    {"Date": 50.0, "Scale": 27.0},
)
OUTLINE = "Own outline, widths"
ARC_STEPS = 32
Outline = Sequence[Point]


class Draughting:
    """Shapes being drawn, at places of the draughtsman's choice; `plan` lays them on a sheet."""

    def __init__(self) -> None:
        self.shapes: list[Shape] = []
        self.blocks: list[Block] = []

    @contextmanager
    def apart(self) -> Iterator[None]:
        """What is drawn within is a block, which pages may move as a whole."""
        start = len(self.shapes)
        yield
        block = tuple(self.shapes[start:])
        del self.shapes[start:]
        if block:
            self.blocks.append(Block(block))

    def notes(self, at: Point, sentences: Sequence[str], *, fixed: bool = False) -> float:
        """Sentences below each other, broken where they grow long, as a block unless `fixed`.

        Returns where the next line would stand.
        """
        if not sentences:
            return at[1]
        wide, narrow = (
            [line for one in sentences for line in wrap(one_line(one), room)]
            for room in (NOTE_LETTERS, NARROW_LETTERS)
        )
        shapes, other = (
            tuple(
                Words("words", (at[0], at[1] + NOTE_LINE_MM * i), line)
                for i, line in enumerate(run)
            )
            for run in (wide, narrow)
        )
        if fixed:
            self.shapes.extend(shapes)
        else:
            self.blocks.append(Block(shapes, (other,)))
        return at[1] + NOTE_LINE_MM * len(wide)

    def line(self, layer: Layer, *points: Point) -> None:
        """Add a run of points, mm."""
        self.shapes.append(Line(layer, points))

    def outline(self, layer: Layer, points: Sequence[Point]) -> None:
        """A closed shape; the first point may be given again at the end."""
        run = points[:-1] if points[0] == points[-1] else points
        self.shapes.append(Line(layer, tuple(run), closed=True))

    def circle(self, layer: Layer, middle: Point, radius_mm: float) -> None:
        """Add a circle, mm."""
        self.shapes.append(Circle(layer, middle, radius_mm))

    def mark(self, at: Point) -> None:
        """Add a small cross, by which a drill is set."""
        x, y = at
        self.line("engrave", (x - MARK_MM, y), (x + MARK_MM, y))
        self.line("engrave", (x, y - MARK_MM), (x, y + MARK_MM))

    def words(
        self,
        at: Point,
        text: str,
        height_mm: float = 3.0,
        anchor: Anchor = "start",
        cell: tuple[int, int] | None = None,
    ) -> None:
        """Add words on one line; place and height in mm, and the cell of a table that they are."""
        self.shapes.append(Words("words", at, one_line(text), height_mm, anchor, cell=cell))

    def across(self, left: Point, right: Point, y: float, doubt_mm: float = 0.0) -> None:
        """A dimension of how far two points lie apart sideways, written along the height `y`.

        doubt_mm : by what it may be off, which is written beside it.
        """
        said = with_doubt(right[0] - left[0], doubt_mm)
        self._dimension(left, right, (left[0], y), (right[0], y), said)

    def down(self, upper: Point, lower: Point, x: float) -> None:
        """A dimension of how far two points lie apart downwards, written along `x`."""
        self._dimension(
            upper, lower, (x, upper[1]), (x, lower[1]), millimetres(lower[1] - upper[1])
        )

    def plan(self, sheet: str, block: TitleBlock, *, scale: int = 1) -> Plan:
        """The sheet: what was drawn with a margin round it, and the title block lower right.

        `scale` is how many times smaller than the instrument it was drawn.
        """
        drawn = [*self.shapes, *(shape for block in self.blocks for shape in block.shapes)]
        boxes = [box_of(shape) for shape in drawn]
        left, top = min(b[0] for b in boxes), min(b[1] for b in boxes)
        across = max(max(b[2] for b in boxes) - left, BLOCK_MM)
        tall = max(b[3] for b in boxes) - top
        width = across + 2 * MARGIN_MM
        height = tall + 3 * MARGIN_MM + (3 if block.outline else 2) * CELL_MM
        by = (MARGIN_MM - left, MARGIN_MM - top)
        foot = (width - MARGIN_MM, height - MARGIN_MM)
        title, narrow = (
            _title_block(sheet, block, foot, rows, scale)
            for rows in (TITLE_ROWS, NARROW_TITLE_ROWS)
        )
        blocks = [
            Block(moved(one.shapes, *by), tuple(moved(other, *by) for other in one.others))
            for one in self.blocks
        ]
        drawing, every = moved(self.shapes, *by), (*blocks, Block(title, (narrow,)))
        return Plan(sheet, block, width, height, drawing, every, scale)

    def _dimension(self, one: Point, other: Point, start: Point, end: Point, said: str) -> None:
        for point, foot in ((one, start), (other, end)):
            if math.dist(point, foot) > 1:
                self.line("dimensions", point, foot)
            self.line("dimensions", (foot[0] - 0.9, foot[1] + 0.9), (foot[0] + 0.9, foot[1] - 0.9))
        self.line("dimensions", start, end)
        upright = start[0] == end[0]
        # Off the middle, where the centre line is.
        share = 0.5 if upright else 0.72
        x, y = (a + (b - a) * share for a, b in zip(start, end, strict=True))
        at = (x - 0.9, y) if upright else (x, y - 0.9)
        words = Words("dimensions", at, said, 2.8, "middle", upright)
        self.shapes.append(words)


def millimetres(length: float) -> str:
    """A length to a hundredth, without trailing noughts."""
    return f"{round(length, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def with_doubt(length: float, doubt_mm: float) -> str:
    """A length with what it may be off by, which is rounded up; alone where that is 0."""
    said = millimetres(length)
    return f"{said} ± {math.ceil(doubt_mm * 10) / 10:g}" if doubt_mm else said


def fitting(text: str, width_mm: float, height_mm: float) -> str:
    """As much of one line as fits a width, by what letters are wide on average."""
    line, room = one_line(text), int(width_mm / (height_mm * LETTER))
    return line if len(line) <= room else line[: room - 1].rstrip() + "…"


def cautions_below(plan: Plan, cautions: Sequence[str]) -> list[Words]:
    """Cautions in lines under a sheet, so that nothing on it moves.

    Each caution is broken where the sheet ends.
    """
    room = int((plan.width_mm - 2 * MARGIN_MM) / (CAUTION_MM * LETTER))
    lines = [line for one in cautions for line in wrap(one_line(one), room)]
    return [
        Words("cautions", (MARGIN_MM, plan.height_mm + CAUTION_LINE_MM * place), line, CAUTION_MM)
        for place, line in enumerate(lines, start=1)
    ]


def arc(
    middle: Point, radius: float, start: float, end: float, steps: int = ARC_STEPS
) -> list[Point]:
    """Points along an arc, from one angle to another; 0 points right and pi / 2 down."""
    turns = (start + (end - start) * i / steps for i in range(steps + 1))
    return [(middle[0] + radius * math.cos(t), middle[1] + radius * math.sin(t)) for t in turns]


def _title_block(
    sheet: str, block: TitleBlock, foot: Point, rows: Sequence[Mapping[str, float]], scale: int
) -> tuple[Shape, ...]:
    """Rows of cells by their widths, the lower right corner at `foot`; "–" for what is empty."""
    if block.outline:
        rows = ({OUTLINE: sum(rows[0].values())}, *rows)
    said = {
        "Instrument": block.instrument,
        "Sheet": sheet,
        "Revision": block.revision,
        "Date": block.date,
        "Scale": f"1 : {scale}, mm",
        OUTLINE: block.outline,
    }
    shapes: list[Shape] = []
    for i, row in enumerate(rows):
        left, top = foot[0] - sum(row.values()), foot[1] - CELL_MM * (len(rows) - i)
        for label, width in row.items():
            text = said[label]
            corners = (
                (left, top),
                (left + width, top),
                (left + width, top + CELL_MM),
                (left, top + CELL_MM),
            )
            shapes.append(Line("title block", corners, closed=True))
            shapes.append(Words("title block", (left + 1.6, top + 3.2), label, 2.0))
            words = fitting(text, width - 3.2, 4.0) or "–"
            shapes.append(Words("title block", (left + 1.6, top + 8.8), words, 4.0))
            left += width
    return tuple(shapes)
