"""What a board yields: blanks laid along its grain within its outline, one beside the other.

A board is a grid of squares that are wood or not, so that waste, holes and wavy edges count as they
are. Of several orders to lay the blanks in, the one that leaves the fewest over is taken.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Wood = NDArray[np.bool_]
"""Which squares are wood, shape (rows across, columns along the grain)."""
Sides = tuple[float, float]
"""Along the grain and across it, mm."""
Placed = tuple[int, int, int, int]
"""Where a blank begins along and across, and how far it goes either way, in squares."""
LEAST_LEFT_MM = (80.0, 25.0)  # an offcut that is worth keeping; our working figure
MOST_LEFT = 3
COARSE = 2  # squares to one, in which offcuts are looked for


@dataclass(frozen=True)
class Rectangle:
    """On a board, mm from its first corner along the grain and across it."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


@dataclass(frozen=True)
class Missed:
    """A blank that has no room, and what is the longest and the widest there is for it.

    `longest_mm` at its width and `widest_mm` at its length, on all of the board; `alone` where it
    would fit there without the others.
    """

    longest_mm: float
    widest_mm: float
    alone: bool


@dataclass(frozen=True)
class Layout:
    """Where each blank is, or why it is nowhere, in the order that was asked; and what is left."""

    places: tuple[Rectangle | Missed, ...]
    left: tuple[Rectangle, ...]


def lay_out(
    wood: Wood, cell_mm: float, blanks: Sequence[Sides], kerf_mm: float, *, turns: bool = False
) -> Layout:
    """Lay blanks out on a board.

    Parameters
    ----------
    wood : Wood
    cell_mm : float, above 0
        Of one square.
    blanks : sequence of Sides
    kerf_mm : float, from 0
        Between one blank and the next.
    turns : bool
        Whether a blank may lie across, on what has no grain.

    Returns
    -------
    Layout
        Sizes are exact to one square: blanks and kerf count as whole squares.
    """
    sides = [(_squares(long, cell_mm), _squares(wide, cell_mm)) for long, wide in blanks]
    kerf = _squares(kerf_mm, cell_mm)
    tried: list[tuple[int, int, int, Wood, dict[int, Placed]]] = []
    for order in _orders(sides):
        for by_row in (True, False):
            free, places = _placed(wood, sides, order, kerf, by_row=by_row, turns=turns)
            laid = sum(math.prod(sides[i]) for i in places)
            ends = max((x + long for x, _, long, _ in places.values()), default=0)
            tried.append((-laid, ends, len(tried), free, places))
        if len(places) == len(sides) and len(tried) > 2:
            break
    *_, free, places = min(tried, key=lambda one: one[:3])
    found: list[Rectangle | Missed] = []
    for i, (long, wide) in enumerate(sides):
        if i in places:
            x, y, along, across = places[i]
            # As it is, not as so many squares.
            length, width = blanks[i] if (along, across) == (long, wide) else blanks[i][::-1]
            found.append(Rectangle(x * cell_mm, y * cell_mm, length, width))
        else:
            found.append(_missed(wood, (long, wide), cell_mm, turns=turns))
    return Layout(tuple(found), _left(free, cell_mm))


def _squares(mm: float, cell_mm: float) -> int:
    return math.ceil(mm / cell_mm - 1e-6)


def _orders(sides: Sequence[tuple[int, int]]) -> list[list[int]]:
    ways: list[Callable[[int], tuple[int, int]]] = [
        lambda i: (sides[i][0] * sides[i][1], sides[i][0]),
        lambda i: (sides[i][0], sides[i][1]),
        lambda i: (sides[i][1], sides[i][0]),
    ]
    return [sorted(range(len(sides)), key=way, reverse=True) for way in ways]


def _placed(
    wood: Wood,
    sides: Sequence[tuple[int, int]],
    order: Sequence[int],
    kerf: int,
    *,
    by_row: bool,
    turns: bool,
) -> tuple[Wood, dict[int, Placed]]:
    """What wood is left, and the blanks that found room, by their place in `sides`."""
    free, places = wood.copy(), dict[int, Placed]()
    missed: set[tuple[int, int]] = set()
    for i in order:
        if sides[i] in missed:
            continue
        held = _held(free)
        for long, wide in (sides[i], sides[i][::-1]) if turns else (sides[i],):
            rooms = _rooms(held, long, wide)
            if rooms.any():
                y, x = _first(rooms, by_row=by_row)
                places[i] = (x, y, long, wide)
                free[max(0, y - kerf) : y + wide + kerf, max(0, x - kerf) : x + long + kerf] = False
                break
        else:
            missed.add(sides[i])
    return free, places


def _first(rooms: Wood, *, by_row: bool) -> tuple[int, int]:
    if by_row:
        y, x = divmod(int(np.argmax(rooms)), rooms.shape[1])
    else:
        x, y = divmod(int(np.argmax(rooms.T)), rooms.shape[0])
    return y, x


def _held(wood: Wood) -> NDArray[np.int32]:
    """How many squares of wood are above and left of each corner."""
    held: NDArray[np.int32] = np.pad(
        wood.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32), ((1, 0), (1, 0))
    )
    return held


def _rooms(held: NDArray[np.int32], long: int, wide: int) -> Wood:
    """At which squares a rectangle of nothing but wood can begin."""
    rows, columns = held.shape[0] - 1, held.shape[1] - 1
    if long > columns or wide > rows or not long or not wide:
        return np.zeros((1, 1), dtype=np.bool_)
    count = held[wide:, long:] - held[:-wide, long:] - held[wide:, :-long] + held[:-wide, :-long]
    rooms: Wood = count == long * wide
    return rooms


def _missed(wood: Wood, sides: tuple[int, int], cell_mm: float, *, turns: bool) -> Missed:
    held = _held(wood)
    long, wide = sides
    rows, columns = wood.shape
    longest = _most(lambda some: bool(_rooms(held, some, wide).any()), max(columns, rows))
    widest = _most(lambda some: bool(_rooms(held, long, some).any()), max(columns, rows))
    alone = bool(_rooms(held, long, wide).any())
    alone |= turns and bool(_rooms(held, wide, long).any())
    return Missed(longest * cell_mm, widest * cell_mm, alone)


def _most(fits: Callable[[int], bool], most: int) -> int:
    """The largest number up to `most` that fits, where all below one that fits do; 0 if none."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if fits(middle) else (low, middle - 1)
    return low


def _left(free: Wood, cell_mm: float) -> tuple[Rectangle, ...]:
    """The largest rectangles that are left, one after the other."""
    rows, columns = (side // COARSE for side in free.shape)
    coarse = free[: rows * COARSE, : columns * COARSE]
    open_: Wood = np.all(coarse.reshape(rows, COARSE, columns, COARSE), axis=(1, 3))
    cell, found = cell_mm * COARSE, []
    for _ in range(MOST_LEFT):
        x, y, long, wide = _largest(open_)
        if max(long, wide) * cell < LEAST_LEFT_MM[0] or min(long, wide) * cell < LEAST_LEFT_MM[1]:
            break
        found.append(Rectangle(x * cell, y * cell, long * cell, wide * cell))
        open_[y : y + wide, x : x + long] = False
    return tuple(found)


def _largest(wood: Wood) -> Placed:
    """A largest rectangle of nothing but wood.

    Row by row, as bars as high as the wood above them: a bar ends where a lower one begins.
    """
    best, area = (0, 0, 0, 0), 0
    high = np.zeros(wood.shape[1], dtype=np.int32)
    for y, row in enumerate(wood):
        high = np.where(row, high + 1, 0)
        bars: list[tuple[int, int]] = []  # where each begins, and how high it is
        for x, tall in enumerate([*high.tolist(), 0]):
            begins = x
            while bars and bars[-1][1] >= tall:
                begins, last = bars.pop()
                if last * (x - begins) > area:
                    area = last * (x - begins)
                    best = (begins, y - last + 1, x - begins, last)
            if tall:
                bars.append((begins, tall))
    return best
