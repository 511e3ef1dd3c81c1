"""What stands on a page besides the drawing: blocks where it leaves them room, and the square.

A block is never cut: it stands whole on one page, clear of what is drawn and of the joints. Where
no page has room for it, it gets one of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.instrument.curve import Point
from brief.instrument.plans.files.tiles import (
    INSET_MM,
    OVERLAP_MM,
    SQUARE_MM,
    Tile,
    Tiling,
    dots_of,
    within,
)
from brief.instrument.plans.plan import Plan, Shape, Words, box_of_all, moved

CELL_MM = 2.0
CLEAR_MM = 3.0  # round a block
COVERED = 10  # how much worse it is to lie over words than over a line
Filled = NDArray[np.bool_]


@dataclass(frozen=True)
class PrintedPage:
    """One page: its tile, None for one that has blocks alone, the blocks and the check square.

    `blocks` and `square` (its upper left corner, None where nothing is measured) are in mm from
    that of its window.
    """

    tile: Tile | None
    blocks: tuple[Shape, ...]
    square: Point | None


def packed(plan: Plan, laid: Tiling) -> list[PrintedPage]:
    """The pages of a plan that is laid so; one large sheet keeps its blocks where they are."""
    if laid.whole:
        square = (laid.window_mm[0] - INSET_MM - SQUARE_MM, INSET_MM)
        blocks = tuple(shape for block in plan.blocks for shape in block.shapes)
        return [PrintedPage(laid.tiles[0], blocks, square if plan.scale == 1 else None)]
    drawn = dots_of(plan.drawing)
    written = dots_of([shape for shape in plan.drawing if isinstance(shape, Words)])
    tiles: list[Tile | None] = list(laid.tiles)
    squares: list[Point | None] = [
        _quietest(laid, tile, drawn, written) if plan.scale == 1 else None for tile in tiles
    ]
    rooms = [_Room(_filled(laid, tile, drawn), at) for tile, at in zip(tiles, squares, strict=True)]
    title = plan.blocks[-1:]
    # The title block first, at the lower right of the last page that has room; then the largest.
    others = sorted(plan.blocks[:-1], key=lambda block: -_area(block.shapes))
    for block in (*title, *others):
        low = block in title
        ways = (block.shapes, *block.others)
        order = rooms[::-1] if low else rooms
        # Clear of the square; or whole within it; or over its edge.
        if not any(
            room.take(shapes, inside, low=low)
            for inside in (0, 1, 2)
            for shapes in ways
            for room in order
        ):
            tiles.append(None)
            squares.append((INSET_MM, laid.window_mm[1] - INSET_MM - SQUARE_MM))
            rooms.append(_Room(_filled(laid, None, drawn), squares[-1]))
            if not rooms[-1].take(block.shapes, 0, low=False):
                rooms[-1].stand += moved(block.shapes, *_to(block.shapes, (0.0, 0.0)))
    return [
        PrintedPage(tile, tuple(room.stand), square)
        for tile, room, square in zip(tiles, rooms, squares, strict=True)
    ]


class _Room:
    """The room that a page has left, in cells.

    `filled` is that with all of the square taken, with its edge alone, and without it.
    """

    def __init__(self, filled: Filled, square: Point | None) -> None:
        self.stand: list[Shape] = []
        if square is None:
            self.filled = (filled, filled, filled)
            return
        edge = filled.copy()
        x, y = square
        for left, top, wide, high in (
            (x, y, SQUARE_MM, 0.0),
            (x, y + SQUARE_MM, SQUARE_MM, 0.0),
            (x, y, 0.0, SQUARE_MM),
            (x + SQUARE_MM, y, 0.0, SQUARE_MM),
        ):
            _fill(edge, (left, top), (wide, high))
        clear = filled.copy()
        _fill(clear, square, (SQUARE_MM, SQUARE_MM))
        self.filled = (clear, edge, filled)

    def take(self, shapes: Sequence[Shape], inside: int, *, low: bool) -> bool:
        """Let a block stand where there is room, if there is; whether there was."""
        at = _free(self.filled[inside], shapes, low=low)
        if at is None:
            return False
        left, top, right, foot = box_of_all(shapes)
        for filled in self.filled:
            _fill(filled, at, (right - left, foot - top))
        self.stand += moved(shapes, *_to(shapes, at))
        return True


def _to(shapes: Sequence[Shape], at: Point) -> Point:
    """How far shapes go so that their upper left corner is there."""
    left, top, *_ = box_of_all(shapes)
    return at[0] - left, at[1] - top


def _fill(filled: Filled, at: Point, size: Point) -> None:
    """Take the cells of a box, and some round it."""
    start = [max(0, math.floor((place - CLEAR_MM) / CELL_MM)) for place in at]
    ends = [
        math.ceil((place + long + CLEAR_MM) / CELL_MM) for place, long in zip(at, size, strict=True)
    ]
    filled[start[1] : ends[1], start[0] : ends[0]] = True


def _filled(laid: Tiling, tile: Tile | None, drawn: NDArray[np.float64]) -> Filled:
    """Cells of a page's window, rows by columns: True where nothing more may stand."""
    width, height = laid.window_mm
    shape = math.floor(height / CELL_MM), math.floor(width / CELL_MM)
    filled = np.zeros(shape, dtype=bool)
    if tile is None:
        return filled
    around = math.ceil(CLEAR_MM / CELL_MM)
    cells = np.floor((drawn - (tile.left_mm, tile.top_mm)) / CELL_MM).astype(int)
    for x in range(-around, around + 1):
        for y in range(-around, around + 1):
            across, down = cells[:, 0] + x, cells[:, 1] + y
            on = (across >= 0) & (across < shape[1]) & (down >= 0) & (down < shape[0])
            filled[down[on], across[on]] = True
    strip = math.ceil(OVERLAP_MM / CELL_MM)
    for side in laid.beside(tile):
        match side:
            case "left":
                filled[:, :strip] = True
            case "right":
                filled[:, -strip:] = True
            case "above":
                filled[:strip] = True
            case "below":
                filled[-strip:] = True
    return filled


def _free(filled: Filled, shapes: Sequence[Shape], *, low: bool) -> Point | None:
    """Where a block has room: as high and as far left as can be, or `low` and right; mm."""
    left, top, right, foot = box_of_all(shapes)
    wide, high = math.ceil((right - left) / CELL_MM) + 1, math.ceil((foot - top) / CELL_MM) + 1
    rows, columns = filled.shape
    if wide > columns or high > rows:
        return None
    sums = np.zeros((rows + 1, columns + 1), dtype=int)
    sums[1:, 1:] = filled.cumsum(axis=0).cumsum(axis=1)
    taken = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    free = np.argwhere(taken == 0)
    if not len(free):
        return None
    row, column = free[-1] if low else free[0]
    return float(column) * CELL_MM + CELL_MM / 2, float(row) * CELL_MM + CELL_MM / 2


def _quietest(
    laid: Tiling,
    tile: Tile | None,
    drawn: NDArray[np.float64],
    written: NDArray[np.float64],
) -> Point:
    """Where the check square disturbs a page least: the upper left corner, mm from the window's."""
    width, height = laid.window_mm
    here = (tile.left_mm, tile.top_mm) if tile else (math.inf, math.inf)
    lines, words = drawn - here, written - here
    places = [
        (float(left), float(top))
        for top in np.linspace(height - INSET_MM - SQUARE_MM, INSET_MM, 13)
        for left in np.linspace(INSET_MM, width - INSET_MM - SQUARE_MM, 9)
    ]

    def covers(place: Point, dots: NDArray[np.float64]) -> int:
        return int(np.count_nonzero(within(dots, place, (SQUARE_MM, SQUARE_MM))))

    return min(places, key=lambda place: covers(place, lines) + COVERED * covers(place, words))


def _area(shapes: Sequence[Shape]) -> float:
    left, top, right, foot = box_of_all(shapes)
    return (right - left) * (foot - top)
