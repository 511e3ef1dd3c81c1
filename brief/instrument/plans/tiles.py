"""How a plan is laid over pages: which page shows what, and where its check square goes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from brief.errors import InputError, quoted
from brief.instrument.curve import Point
from brief.instrument.plans.plan import Circle, Line, Plan, Shape, Words

Paper = Literal["A4", "Letter", "sheet"]
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
EDGE_MM = 10.0  # what printers leave white: common practice, no source
FOOT_MM, OVERLAP_MM, SQUARE_MM = 14.0, 12.0, 100.0
INSET_MM = OVERLAP_MM + 2  # of the square, clear of the joints


@dataclass(frozen=True)
class Tile:
    """One page: which column and row, counted from 0.

    `left_mm` and `top_mm` are the place of the plan in its window's upper left corner.
    """

    column: int
    row: int
    left_mm: float
    top_mm: float


@dataclass(frozen=True)
class Tiling:
    """How a plan is laid over pages of `page_mm`, each showing `window_mm` of it."""

    page_mm: tuple[float, float]
    window_mm: tuple[float, float]
    columns: int
    rows: int

    @property
    def tiles(self) -> tuple[Tile, ...]:
        """Row by row. Neighbours overlap by OVERLAP_MM."""
        across, down = (side - OVERLAP_MM for side in self.window_mm)
        return tuple(
            Tile(column, row, column * across, row * down)
            for row in range(self.rows)
            for column in range(self.columns)
        )


def tiling(plan: Plan, paper: Paper) -> Tiling:
    """The way round, upright or lying, that needs the fewest pages.

    Raises
    ------
    InputError
        For a paper that is not A4, Letter or sheet (one page as large as the plan).
    """
    if paper not in get_args(Paper):
        raise InputError.at(
            "paper",
            f"a drawing is printed on A4, Letter or sheet; got {quoted(paper)}. Choose one.",
        )
    if paper == "sheet":
        # The square stands beside the plan, which may be smaller than it.
        beside = SQUARE_MM + 2 * INSET_MM
        window = plan.width_mm + beside, max(plan.height_mm, beside)
        page = window[0] + 2 * EDGE_MM, window[1] + 2 * EDGE_MM + FOOT_MM
        return Tiling(page, window, 1, 1)
    short, long = PAPERS_MM[paper]
    return min(
        (_laid(plan, page) for page in ((short, long), (long, short))),
        key=lambda one: one.columns * one.rows,
    )


def quietest(plan: Plan, laid: Tiling, tile: Tile) -> Point:
    """Where on a page the check square disturbs the drawing least.

    Its upper left corner, mm from that of the window.
    """
    width, height = laid.window_mm
    places = [
        (left, top)
        for top in (height - INSET_MM - SQUARE_MM, INSET_MM, (height - SQUARE_MM) / 2)
        for left in (INSET_MM, width - INSET_MM - SQUARE_MM, (width - SQUARE_MM) / 2)
    ]
    drawn = [(x - tile.left_mm, y - tile.top_mm) for s in plan.shapes for x, y in _dots(s)]
    return min(places, key=lambda place: sum(_covers(place, dot) for dot in drawn))


def _laid(plan: Plan, page: tuple[float, float]) -> Tiling:
    window = page[0] - 2 * EDGE_MM, page[1] - 2 * EDGE_MM - FOOT_MM
    columns, rows = (
        max(1, math.ceil((size - OVERLAP_MM) / (room - OVERLAP_MM)))
        for size, room in zip((plan.width_mm, plan.height_mm), window, strict=True)
    )
    return Tiling(page, window, columns, rows)


def _dots(shape: Shape) -> Iterator[Point]:
    """Places on a shape, at most 5 mm apart."""
    match shape:
        case Line():
            run = (*shape.points, shape.points[0]) if shape.closed else shape.points
            for (x_1, y_1), (x_2, y_2) in pairwise(run):
                steps = math.ceil(math.hypot(x_2 - x_1, y_2 - y_1) / 5)
                for i in range(steps):
                    yield x_1 + (x_2 - x_1) * i / steps, y_1 + (y_2 - y_1) * i / steps
        case Circle():
            (x, y), r = shape.middle, shape.radius_mm
            for i in range(steps := math.ceil(2 * math.pi * r / 5)):
                turn = 2 * math.pi * i / steps
                yield x + r * math.cos(turn), y + r * math.sin(turn)
        case Words():
            yield shape.at


def _covers(place: Point, dot: Point) -> bool:
    return 0 <= dot[0] - place[0] <= SQUARE_MM and 0 <= dot[1] - place[1] <= SQUARE_MM
