"""A run of points made even: the least that has to be smoothed for a curve without bumps.

What hands, saws and cameras leave on an outline is some tenths of a millimetre, and turns it from
hollow to round and back where no finger was meant to feel it. A spline through the points that is
made stiffer, step by step, loses those turns, and never leaves a point by more than it is allowed.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from brief.instrument.curve import Segment
from brief.instrument.outline.fair import bends

Array = NDArray[np.float64]

PIECES = 96  # of the whole outline, some fifteen millimetres each on a guitar
DEGREE = 5
SEEN = 800  # places of a half at which its bends are counted
FLAT = 1 / 5000  # 1/mm: flatter than this is neither hollow nor round
MOST_EXTREMA = 8  # of curvature, of half a body from its neck joint to its tail
STIFFNESS = 10.0 ** np.arange(-4, 6.01, 0.5)
HELD = 100.0  # times as heavy as others are the ends


def evened(half: Array, allowed_mm: float, turns: int) -> Iterator[Array]:
    """Half an outline, more and more even, as `SEEN` places along it.

    Parameters
    ----------
    half : ndarray, shape (n, 2)
        Half widths and distances from the neck joint, mm, from the joint to the tail.
    allowed_mm : float, above 0
        By which no point is left, measured square to the curve.
    turns : int
        From round to hollow and back that the body has: 2 of one with a waist, else 0.

    Yields
    ------
    ndarray, shape (SEEN, 2)
        Curves ever stiffer within what is allowed, from the first that has no bumps; where none
        has none, the stiffest alone.

    References
    ----------
    Eilers and Marx 1996 (P-splines; from memory), with third differences, since those keep the
    curvature from changing.
    """
    around = np.vstack([half, half[-2:0:-1] * [-1, 1]])
    steps = np.hypot(*np.diff(np.vstack([around, around[:1]]), axis=0).T)
    places = np.r_[0.0, np.cumsum(steps[:-1])] / steps.sum()
    basis, slopes = (_basis(places, order) for order in (0, 1))
    weight = np.ones(len(around))
    weight[[0, len(half) - 1]] = HELD
    square = basis.T @ (basis * weight[:, None])
    toward = basis.T @ (around * weight[:, None])
    differences = _differences()
    began, last = False, None
    for stiffness in STIFFNESS:
        inner = square + stiffness * len(around) / PIECES * differences
        points = np.linalg.solve(inner, toward)
        off = around - basis @ points
        along = slopes @ points
        across = np.abs(off[:, 0] * along[:, 1] - off[:, 1] * along[:, 0]) / np.hypot(*along.T)
        if last is not None and across.max() > allowed_mm:
            break
        last, began = points, began or _is_even(points, turns)
        if began:
            yield _half(points)
    if last is not None and not began:
        yield _half(last)


def _half(points: Array) -> Array:
    made: Array = _seen(0) @ points
    made[[0, -1], 0] = 0.0
    return made


def bumps(half: tuple[Segment, ...], turns: int) -> int:
    """How many turns and extrema of curvature half an outline has beyond those of its body.

    turns : as for `evened`.
    """
    return _beyond(np.array([bend.curvature for bend in bends(half, 32)]), turns)


def _is_even(points: Array, turns: int) -> bool:
    (dx, dy), (ax, ay) = (_seen(1) @ points).T, (_seen(2) @ points).T
    return not _beyond((dx * ay - dy * ax) / np.hypot(dx, dy) ** 3, turns)


def _beyond(curvature: Array, most_turns: int) -> int:
    bent = curvature[np.abs(curvature) > FLAT]
    turns, extrema = (int((np.diff(np.sign(run)) != 0).sum()) for run in (bent, np.diff(curvature)))
    return max(0, turns - most_turns) + max(0, extrema - MOST_EXTREMA)


@lru_cache
def _seen(order: int) -> Array:
    return _basis(np.linspace(0, 0.5, SEEN), order)


def _basis(places: Array, order: int) -> Array:
    """What each of the periodic spline's coefficients is worth at places, 0 to 1; or its slope."""
    from scipy.interpolate import BSpline

    knots = np.arange(-DEGREE, PIECES + DEGREE + 1) / PIECES
    found = np.zeros((len(places), PIECES))
    every = BSpline(knots, np.eye(PIECES + DEGREE), DEGREE)(places, order)
    for i in range(PIECES + DEGREE):
        found[:, i % PIECES] += every[:, i]
    return found


@lru_cache
def _differences() -> Array:
    """The square of third differences of neighbours round and round."""
    one = np.eye(PIECES)
    third = np.roll(one, 2, 1) - 3 * np.roll(one, 1, 1) + 3 * one - np.roll(one, -1, 1)
    made: Array = third.T @ third
    return made
