"""Runs of short chords as the arcs and straight lines that they stand for, as machines like them.

From one end of a run on, the longest stretch is taken that one arc or one line meets: every point
within TOLERANCE_MM, and no chord so long for its radius that it may be a straight edge. So corners
stay corners, and what was drawn with arcs becomes those arcs again.
Stretches end where the run is farthest left, right, up or down, so that its size stays exact.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from brief.instrument.curve import Point

TOLERANCE_MM = 0.005
STRAIGHT_MM = 0.001
BEYOND_MM = 0.0003  # of an arc beyond the box of its ends
MOST_TURN = math.radians(12)  # from chord to chord of an arc; beyond it there is a corner
MOST_RISE_MM = 0.03  # of the arc over a chord: what the chords missed of the curve
Bulged = tuple[float, float, float]
"""x and y of where a stretch begins, and its bulge: the tangent of a quarter of the angle that its
arc sweeps, above 0 where it turns from x towards y, 0 for a straight line (DXF reference)."""


def bulged(points: Sequence[Point], *, closed: bool = False) -> list[Bulged]:
    """The same run with its arcs; the bulge of an open run's last point is 0.

    points : 2 or more, mm, the first not given again at the end of a closed one.
    """
    run = np.asarray([*points, points[0]] if closed else points, dtype=float)
    if closed:  # from a place on where stretches end anyway, so that no arc is parted without need
        start = _start(run[:-1])
        run = np.vstack([run[start:-1], run[: start + 1]])
    turns = _farthest(run)
    found: list[Bulged] = []
    at, last = 0, len(run) - 1
    while at < last:
        end, bulge = at + 1, 0.0
        stop = int(turns[np.searchsorted(turns, at, side="right")])
        # One point more at a time: what fails is not mended by what comes behind it.
        for meets, least in ((_line, 2), (_arc, 3)):
            further = at + least
            while further <= stop and (more := meets(run[at : further + 1])) is not None:
                if _overshoot(run[at], run[further], more) <= BEYOND_MM:
                    end, bulge = further, more
                further += 1
            if end > at + 1:
                break
        found.append((float(run[at, 0]), float(run[at, 1]), bulge))
        at = end
    if not closed:
        found.append((float(run[-1, 0]), float(run[-1, 1]), 0.0))
    return found


def _seen(run: NDArray[np.float64]) -> tuple[float, NDArray[np.float64], NDArray[np.float64]]:
    """The chord from the first to the last point: its length, and each point along and off it."""
    chord = run[-1] - run[0]
    long = math.hypot(*chord)
    if long < STRAIGHT_MM:
        return 0.0, np.zeros(len(run)), np.zeros(len(run))
    along = (run - run[0]) @ chord / long
    return long, along, (run - run[0]) @ np.array([chord[1], -chord[0]]) / long


def _line(run: NDArray[np.float64]) -> float | None:
    """0 where one line meets all points, one after the other; else None."""
    long, along, off = _seen(run)
    straight = long > 0 and np.abs(off).max() <= STRAIGHT_MM and (np.diff(along) > 0).all()
    return 0.0 if straight else None


def _arc(run: NDArray[np.float64]) -> float | None:
    """The bulge of the one arc that meets 4 points or more, half a turn at the most; else None."""
    long, along, off = _seen(run)
    far = int(np.abs(off).argmax())
    rise, foot = float(off[far]), float(along[far])
    if abs(rise) <= STRAIGHT_MM:
        return None
    # The circle through both ends and the point that is farthest from their chord.
    height = (rise * rise - foot * (long - foot)) / (2 * rise)
    radius = math.hypot(long / 2, height)
    away = np.hypot(along - long / 2, off - height) - radius
    if np.abs(away).max() > TOLERANCE_MM:
        return None
    chords = np.hypot(*np.diff(run, axis=0).T)
    if chords.max() > radius * MOST_TURN or (chords**2).max() / (8 * radius) > MOST_RISE_MM:
        return None
    sweep = 2 * float(np.arcsin(np.minimum(1.0, chords / (2 * radius))).sum())
    if sweep > math.pi:  # beyond half a turn the farthest point tells too little
        return None
    return math.copysign(math.tan(sweep / 4), rise)


def _start(run: NDArray[np.float64]) -> int:
    """The sharpest corner of a closed run; where it has none, a place where it turns back."""
    ahead = np.roll(run, -1, axis=0) - run
    before = np.roll(ahead, 1, axis=0)
    cross = before[:, 0] * ahead[:, 1] - before[:, 1] * ahead[:, 0]
    turn = np.abs(np.arctan2(cross, (before * ahead).sum(axis=1)))
    return int(turn.argmax() if turn.max() > MOST_TURN else _farthest(run)[0])


def _overshoot(start: NDArray[np.float64], end: NDArray[np.float64], bulge: float) -> float:
    """How far an arc that should turn back nowhere goes beyond the box of its ends, mm."""
    if not bulge:
        return 0.0
    chord = end - start
    half = 2 * math.atan(bulge)  # of the sweep, which is also between chord and tangent
    radius = math.hypot(*chord) / (2 * abs(math.sin(half)))
    beyond = 0.0
    for turn in (-half, half):
        tangent = math.cos(turn) * chord + math.sin(turn) * np.array([-chord[1], chord[0]])
        tangent /= math.hypot(*tangent)
        for along, away, other in zip(tangent, chord, tangent[::-1], strict=True):
            if along * away < 0:
                beyond = max(beyond, radius * (1 - abs(other)))
    return beyond


def _farthest(run: NDArray[np.float64]) -> NDArray[np.intp]:
    """Where a run turns back from left to right, or up to down, or the other way; and its end."""
    ways = np.sign(np.round(np.diff(run, axis=0), 9))
    turns = np.flatnonzero((ways[1:] != ways[:-1]).any(axis=1)) + 1
    return np.append(turns, len(run) - 1)
