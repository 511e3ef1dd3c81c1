"""What is written on each blank of a board's picture: its number, and its name where it has room.

All in millimetres on the board, so that page and paper write the same.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brief.services.common.formatting import plain
from brief.services.spec.sawing.sawn_view import Corners, SawnBoardView

NUMBER, NAME = 1 / 28, 1 / 46  # of the picture's longer side, how high letters are
LETTER = 0.56  # how wide one is, of its height
STEPS = 5  # numbers of strips that lie side by side are set one farther than the other


@dataclass(frozen=True)
class SawnLabel:
    """On one blank. corners : of it, mm on the picture. x, y : the middle of the words.

    number : with its height. name : with its size, "" where it has no room. turn_deg : clockwise,
    how the name is turned to run along the blank.
    """

    corners: Corners
    x: float
    y: float
    number: int
    number_mm: float
    name: str
    name_mm: float
    turn_deg: float


def labels_of(board: SawnBoardView) -> Iterator[SawnLabel]:
    """Of each blank that has room; none without a photograph that has a scale."""
    if board.shows_mm is None:
        return
    names = {line.number: line.name for line in board.lines}
    (x0, y0), (x1, y1), _ = board.origin
    turn = _upright(x1 - x0, y1 - y0)
    side = max(board.shows_mm)
    for place, one in enumerate(board.sawn):
        said = f"{one.number} · {names[one.number]}, {_sizes(one.length_mm, one.width_mm)}"
        narrow = min(one.length_mm, one.width_mm)
        roomy = len(said) * LETTER * NAME * side < one.length_mm and narrow > 1.5 * NAME * side
        high = min(NUMBER * side, max(0.8 * narrow, NUMBER * side / 2))
        share = 0.5 if narrow >= high else (place % STEPS + 1) / (STEPS + 1)
        (ax, ay), (bx, by), (cx, cy), _ = one.corners
        yield SawnLabel(
            corners=one.corners,
            x=round(ax + (bx - ax) * share + (cx - bx) / 2, 2),
            y=round(ay + (by - ay) * share + (cy - by) / 2, 2),
            number=one.number,
            number_mm=round(high, 2),
            name=said if roomy else "",
            name_mm=round(NAME * side, 2),
            turn_deg=turn,
        )


def _sizes(*sizes: float) -> str:
    return " × ".join(plain(round(size, 1)) for size in sizes)


def _upright(along_x: float, along_y: float) -> float:
    """How words that run along the board are turned, clockwise, so that none stands on its head."""
    turn = math.degrees(math.atan2(along_y, along_x))
    return round((turn + 90) % 180 - 90, 1)
