"""How a plan is laid over pages: which page shows what of its drawing.

A page that would show no part is left out, and the pages lie so that there are as few as can be;
blocks, which have no place of their own, are `packing`'s.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError, quoted
from brief.instrument.curve import Point
from brief.instrument.plans.plan import TOOLED, Circle, Layer, Line, Plan, Shape, Words, box_of

Paper = Literal["A4", "Letter", "sheet"]
PAPERS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # ISO 216; ANSI/ASME Y14.1
EDGE_MM = 10.0  # what printers leave white: common practice, no source
FOOT_MM, OVERLAP_MM, SQUARE_MM = 14.0, 12.0, 100.0
INSET_MM = OVERLAP_MM + 2  # of the square, clear of the joints
AROUND_MM = 1.0  # of the drawing, on the outermost pages
OF_A_PART: tuple[Layer, ...] = (*TOOLED, "reference")
SHIFTS = 9  # ways to lie on the pages that are tried, across and down


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
    """How a plan is laid over pages of `page_mm`, each showing `window_mm` of it, row by row.

    Neighbours overlap by OVERLAP_MM. `whole` is one page as large as the plan.
    """

    page_mm: tuple[float, float]
    window_mm: tuple[float, float]
    columns: int
    rows: int
    tiles: tuple[Tile, ...]
    whole: bool = False

    def beside(self, tile: Tile) -> dict[Literal["left", "right", "above", "below"], Tile]:
        """The neighbours that a page is joined to, by their side."""
        at = {(one.column, one.row): one for one in self.tiles}
        steps: tuple[tuple[Literal["left", "right", "above", "below"], int, int], ...] = (
            ("left", -1, 0),
            ("right", 1, 0),
            ("above", 0, -1),
            ("below", 0, 1),
        )
        return {
            side: at[tile.column + x, tile.row + y]
            for side, x, y in steps
            if (tile.column + x, tile.row + y) in at
        }


def tiling(plan: Plan, paper: Paper) -> Tiling:
    """The way round, upright or lying, and the place that need the fewest pages.

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
        return Tiling(page, window, 1, 1, (Tile(0, 0, 0.0, 0.0),), whole=True)
    short, long = PAPERS_MM[paper]
    part = dots_of([one for one in plan.drawing if one.layer in OF_A_PART])
    rest = dots_of([one for one in plan.drawing if one.layer not in OF_A_PART])
    found = [_laid(plan, page, part, rest) for page in ((short, long), (long, short))]
    return min(found, key=lambda one: one[0])[1]


def dots_of(shapes: Sequence[Shape]) -> NDArray[np.float64]:
    """Places on shapes, (n, 2), at most 2 mm apart; those of words all over their box."""
    return np.array([dot for shape in shapes for dot in _dots(shape)]).reshape(-1, 2)


def within(
    dots: NDArray[np.float64], corner: Point, sides: tuple[float, float]
) -> NDArray[np.bool_]:
    """Which of the places, (n, 2), are in a rectangle or on its edge. corner : its upper left."""
    x, y = dots[:, 0] - corner[0], dots[:, 1] - corner[1]
    return (x >= 0) & (x <= sides[0]) & (y >= 0) & (y <= sides[1])


def _laid(
    plan: Plan, page: tuple[float, float], part: NDArray[np.float64], rest: NDArray[np.float64]
) -> tuple[tuple[int, int, int], Tiling]:
    """The best place of a drawing on pages held one way round, and how bad it is.

    Bad is first a page with nothing but dimensions, then every page, then dimensions cut off from
    their part.
    """
    window = page[0] - 2 * EDGE_MM, page[1] - 2 * EDGE_MM - FOOT_MM
    boxes = [box_of(shape) for shape in plan.drawing]
    start = [min(box[i] for box in boxes) - AROUND_MM for i in (0, 1)]
    sizes = [max(box[i + 2] for box in boxes) + AROUND_MM - start[i] for i in (0, 1)]
    steps = [room - OVERLAP_MM for room in window]
    counts = [
        max(1, math.ceil((size - OVERLAP_MM) / step))
        for size, step in zip(sizes, steps, strict=True)
    ]
    slack = [
        count * step + OVERLAP_MM - size
        for count, step, size in zip(counts, steps, sizes, strict=True)
    ]
    best: tuple[tuple[int, int, int], Tiling] | None = None
    for i in range(SHIFTS * SHIFTS):
        shares = (i % SHIFTS / (SHIFTS - 1), i // SHIFTS / (SHIFTS - 1))
        left, top = (a - room * share for a, room, share in zip(start, slack, shares, strict=True))
        tiles, bare = [], 0
        for row in range(counts[1]):
            for column in range(counts[0]):
                tile = Tile(column, row, left + column * steps[0], top + row * steps[1])
                if _shows(tile, window, part):
                    tiles.append(tile)
                elif _alone(tile, window, rest):
                    bare += 1
                    tiles.append(tile)
        found = (bare, len(tiles), i), Tiling(page, window, counts[0], counts[1], tuple(tiles))
        if best is None or found[0] < best[0]:
            best = found
    assert best is not None
    return best


def _shows(tile: Tile, window: tuple[float, float], dots: NDArray[np.float64]) -> bool:
    return bool(within(dots, (tile.left_mm, tile.top_mm), window).any())


def _alone(tile: Tile, window: tuple[float, float], dots: NDArray[np.float64]) -> bool:
    """Whether a page shows what none of its neighbours does, which overlap it."""
    inner = Tile(0, 0, tile.left_mm + OVERLAP_MM, tile.top_mm + OVERLAP_MM)
    return _shows(inner, (window[0] - 2 * OVERLAP_MM, window[1] - 2 * OVERLAP_MM), dots)


def _dots(shape: Shape) -> Iterator[Point]:
    match shape:
        case Line():
            run = (*shape.points, shape.points[0]) if shape.closed else shape.points
            for (x_1, y_1), (x_2, y_2) in pairwise(run):
                steps = max(1, math.ceil(math.hypot(x_2 - x_1, y_2 - y_1) / 2))
                for i in range(steps + 1):
                    yield x_1 + (x_2 - x_1) * i / steps, y_1 + (y_2 - y_1) * i / steps
        case Circle():
            (x, y), r = shape.middle, shape.radius_mm
            for i in range(steps := math.ceil(math.pi * r)):
                turn = 2 * math.pi * i / steps
                yield x + r * math.cos(turn), y + r * math.sin(turn)
        case Words():
            left, top, right, low = box_of(shape)
            for x in np.linspace(left, right, max(2, math.ceil((right - left) / 2))):
                for y in np.linspace(top, low, max(2, math.ceil((low - top) / 2))):
                    yield float(x), float(y)
