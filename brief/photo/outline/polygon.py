"""Closed outlines of points: whether they are sound, and which pixels lie inside."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Point = tuple[float, float]
Ring = tuple[Point, ...]


def sound_ring(points: Sequence[Point], what: str) -> Ring:
    """The points in percent, checked, without those that only repeat the one before.

    Parameters
    ----------
    points : sequence of (float, float)
    what : str
        The name of the outline in messages.

    Returns
    -------
    Ring

    Raises
    ------
    InputError
        On a point that is no number or outside 0 to 100, fewer than 3 points, all of them on one
        line, or an outline that crosses or touches itself.
    """
    for x, y in points:
        if not (math.isfinite(x) and math.isfinite(y) and 0 <= x <= 100 and 0 <= y <= 100):
            raise refused(
                f"{what} must lie inside the picture, 0 to 100 percent each way; "
                f"got a point at {in_words((x, y))}"
            )
    exact = [(float(x) + 0.0, float(y) + 0.0) for x, y in points]  # + 0.0 makes a 0 of a -0
    ring = tuple(point for i, point in enumerate(exact) if i == 0 or point != exact[i - 1])
    if len(ring) > 1 and ring[-1] == ring[0]:
        ring = ring[:-1]
    if len(ring) < 3:
        raise refused(f"{what} must have at least 3 points; got {len(ring)}")
    corners = np.array(ring)
    if not _turn(corners[0], corners[1], corners).any():
        raise refused(f"{what} encloses nothing: its points lie on one line")
    crossed = _crossed(corners)
    if crossed.any():
        where = in_words(ring[int(np.argmax(crossed))])
        raise refused(f"{what} may not cross or touch itself; it does after the point {where}")
    return ring


def lies_inside(inner: Ring, outer: Ring) -> bool:
    """Whether one outline lies wholly inside another, without touching it."""
    x, y = inner[0]
    (x_1, y_1), (x_2, y_2) = np.array(outer).T, np.roll(outer, -1, axis=0).T
    spans = (y_1 <= y) != (y_2 <= y)
    with np.errstate(divide="ignore", invalid="ignore"):  # level edges, which do not span y
        right = x_1 + (y - y_1) * (x_2 - x_1) / (y_2 - y_1) > x
    odd = np.count_nonzero(spans & right) % 2 == 1
    return odd and not _meet(np.array(inner), np.array(outer)).any()


def filled(ring: Ring, width: int, height: int) -> Mask:
    """Which pixels have their middle inside.

    Parameters
    ----------
    ring : Ring
        In percent.
    width, height : int
        Pixels.

    Returns
    -------
    ndarray of bool, shape (height, width)
    """
    x_1, y_1 = (np.array(ring) * (width, height) / 100).T
    x_2, y_2 = np.roll(x_1, -1), np.roll(y_1, -1)
    middle = np.arange(height) + 0.5
    edge, row = np.nonzero((y_1[:, None] <= middle) != (y_2[:, None] <= middle))
    slope = (x_2 - x_1)[edge] / (y_2 - y_1)[edge]
    crossing = x_1[edge] + (middle[row] - y_1[edge]) * slope
    # Every edge turns inside to outside for all pixels to the right of where it crosses the row.
    turns = np.zeros((height, width + 1), dtype=np.uint8)
    column = np.clip(np.ceil(crossing - 0.5), 0, width).astype(np.intp)
    np.bitwise_xor.at(turns, (row, column), 1)
    inside: Mask = np.bitwise_xor.accumulate(turns[:, :-1], axis=1).astype(np.bool_)
    return inside


def refused(message: str) -> InputError:
    """The error about a region."""
    return InputError.at("region", message)


def in_words(point: Point) -> str:
    """A point for a message."""
    return f"{point[0]:g} percent across and {point[1]:g} down"


def _turn(start: Floats, end: Floats, point: Floats) -> Floats:
    """Above 0 where going from start to end to point turns one way, below 0 the other."""
    along, toward = end - start, point - start
    turn: Floats = along[..., 0] * toward[..., 1] - along[..., 1] * toward[..., 0]
    return turn


def _meet(one: Floats, other: Floats) -> Mask:
    """Which edges of one outline, shape (n, 2), touch or cross which of another, (m, 2): (n, m)."""
    a, b = one[:, None], np.roll(one, -1, axis=0)[:, None]
    c, d = other[None, :], np.roll(other, -1, axis=0)[None, :]
    apart = np.sign(_turn(a, b, c)) * np.sign(_turn(a, b, d)) > 0
    apart |= np.sign(_turn(c, d, a)) * np.sign(_turn(c, d, b)) > 0
    # Edges on one line have no turns; they are apart if their boxes are.
    apart |= (np.maximum(a, b) < np.minimum(c, d)).any(axis=-1)
    apart |= (np.maximum(c, d) < np.minimum(a, b)).any(axis=-1)
    return ~apart


def _crossed(corners: Floats) -> Mask:
    """Which edges meet one that is not their neighbour, or fold back onto the one that follows."""
    meets = _meet(corners, corners)
    edge = np.arange(len(corners))
    for step in (-1, 0, 1):
        meets[edge, (edge + step) % len(corners)] = False
    along = np.roll(corners, -1, axis=0) - corners
    following = np.roll(along, -1, axis=0)
    straight = along[:, 0] * following[:, 1] == along[:, 1] * following[:, 0]
    folded: Mask = straight & ((along * following).sum(axis=1) < 0)
    return meets.any(axis=1) | folded
