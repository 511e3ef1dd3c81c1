"""The fair curve of half a body: no kink, no bump, and its curvature runs on without a jump.

An outline that is given by its bouts alone, as those of presets are, is drawn as cubic Bezier
pieces between the neck joint, the bouts and the tail. At each of these it runs square to, or along,
the centre line, so that every size is met exactly; the handles at a bout are tied so that both
pieces have one curvature there. What is still free is chosen so that the curvature changes as
little as it can along the way, a minimum variation curve. A waisted half then turns from hollow to
round twice and no more.

An outline of more stations, traced from a mould, runs through them as a cubic spline.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from brief.instrument.curve import Point, Segment, mirrored, smooth
from brief.instrument.presets import Stations

Array = NDArray[np.float64]

# A handle, as a share of the way that it may take: below it a bend is a corner, above it a flat.
SHORTEST, LONGEST = 0.05, 0.93
# The handles of a teardrop's flank, at its neck and its bout: the curvature that changes least
# would make it an egg. Our working figures.
CREST, FLANK = 0.51, 0.27
WEIGHED_AT = (np.arange(12) + 0.5) / 12
HANDLE_WEIGHT = 3000.0  # beside some tens that the curve itself comes to: as good as a bound
MOST_ROUNDS = 40
WAISTED = 5  # stations: neck joint, three bouts and tail
PIECES = 24  # of a half that is given by its bouts: short enough to be cut at a horn
OVERSHOOT_MM = 0.3  # by which a spline may pass beyond a widest or narrowest station

Find = Callable[[Array], tuple[Array, Array]]
"""Handles, shape (n, parts), to Bezier points, shape (n, pieces, 4, 2), and to what is wrong with
them, shape (n, any), 0 where nothing is: a handle that follows and is too long."""


@dataclass(frozen=True)
class Bend:
    """A place on a curve, how far along it is, its normal to the right hand, and its curvature.

    Curvature in 1/mm, positive where it turns clockwise as seen on paper, y down.
    """

    at_mm: float
    point: Point
    normal: Point
    curvature: float


@lru_cache(maxsize=256)
def fair_half(outline: Stations) -> tuple[Segment, ...]:
    """The right half of a body from the neck joint to the tail, as Bezier segments.

    Parameters
    ----------
    outline : Stations
        As a preset has them.

    References
    ----------
    Moreton and Séquin 1992 (minimum variation curves; from memory).
    """
    turns = [_turns(*three) for three in zip(outline, outline[1:], outline[2:], strict=False)]
    if all(turns):
        points = _fairest(outline)
        return _segments(points, PIECES // len(points))
    around = mirrored([(half, at) for at, half in outline])
    spline = _spline(around)[: len(outline) - 1]
    if not _overshoots(spline):
        return spline
    # Stations that no fair curve goes through: the cautious one never leaves their widths.
    return tuple(smooth(around, closed=True)[: len(outline) - 1])


def bends(segments: tuple[Segment, ...], steps: int = 8) -> list[Bend]:
    """How a run of segments bends, at `steps` even places on each and at both ends of it."""
    at_mm = 0.0
    found: list[Bend] = []
    t = np.linspace(0, 1, steps + 1)
    for segment in segments:
        points = np.array(segment)[None, None]
        place, curvature, _, speed = _bending(points, t)
        along = _derivatives(points, t)[0][0, 0] / speed[0, 0][:, None]
        gaps = np.r_[0.0, np.hypot(*np.diff(place[0, 0], axis=0).T)]
        for i in range(0 if not found else 1, steps + 1):
            (x, y), (dx, dy) = place[0, 0, i].tolist(), along[i].tolist()
            found.append(
                Bend(at_mm + float(gaps[: i + 1].sum()), (x, y), (-dy, dx), curvature[0, 0, i])
            )
        at_mm += float(gaps.sum())
    return found


def _turns(before: Point, here: Point, after: Point) -> bool:
    return (here[1] - before[1]) * (after[1] - here[1]) < 0


def _fairest(outline: Stations) -> Array:
    """Bezier points, shape (pieces, 4, 2), of the curve whose curvature varies least.

    The integral of (dk/ds)^2 over its length, by damped least squares within the bounds of the
    handles.
    """
    find, start = _waisted(outline) if len(outline) == WAISTED else _teardrop(outline)
    size = outline[-1][0] ** 1.5

    def misses(handles: Array) -> Array:
        points, wrong = find(handles)
        _, _, change, speed = _bending(points, WEIGHED_AT)
        uneven = (change / np.sqrt(speed)).reshape(len(handles), -1) * size
        return np.hstack([uneven, wrong])

    points: Array = find(_least(misses, start)[None])[0][0]
    return points


def _least(misses: Callable[[Array], Array], start: Array) -> Array:
    """The handles with the least sum of squares (Levenberg and Marquardt, within bounds)."""
    here, damping, nudge = np.clip(start, SHORTEST, LONGEST), 1e-2, 1e-6
    for _ in range(MOST_ROUNDS):
        found = misses(here + np.vstack([np.zeros(len(here)), nudge * np.eye(len(here))]))
        slopes, sum_here = ((found[1:] - found[0]) / nudge), float(found[0] @ found[0])
        square, downhill = slopes @ slopes.T, slopes @ found[0]
        free = ~((here <= SHORTEST) & (downhill > 0) | (here >= LONGEST) & (downhill < 0))
        while True:
            step = np.zeros(len(here))
            inner = square[np.ix_(free, free)]
            held = inner + np.diag(damping * np.diag(inner) + 1e-9)
            step[free] = -np.linalg.solve(held, downhill[free])
            there = np.clip(here + np.clip(step, -0.2, 0.2), SHORTEST, LONGEST)
            after = misses(there[None])[0]
            if (sum_there := float(after @ after)) < sum_here:
                break
            damping *= 5
            if damping > 1e6:
                return here
        here, damping = there, damping / 5
        if sum_here - sum_there < 1e-6 * sum_here:
            break
    return here


def _waisted(outline: Stations) -> tuple[Find, Array]:
    """Neck joint, upper bout, waist, lower bout, tail, by five handles; the other three follow.

    And where to begin: with handles that leave room for those that follow.

    At a bout whose flank goes off by `d` across, a handle of length `h` along makes a curvature of
    2 d / 3 h^2, on either side.
    """
    _, (upper, wide_1), (waist, wide_2), (lower, wide_3), (tail, _) = outline
    in_1, in_2 = wide_1 - wide_2, wide_3 - wide_2

    def find(handles: Array) -> tuple[Array, Array]:
        a, b, c, d, e = (handles * [wide_1, upper, waist - upper, wide_3, tail - lower]).T
        after_upper = b * np.sqrt(in_1 / (wide_1 - a))
        after_waist = c * math.sqrt(in_2 / in_1)
        before_lower = e * np.sqrt(in_2 / (wide_3 - d))
        points = _pieces(
            len(handles),
            [(0, 0), (a, 0), (wide_1, upper - b), (wide_1, upper)],
            [(wide_1, upper), (wide_1, upper + after_upper), (wide_2, waist - c), (wide_2, waist)],
            [
                (wide_2, waist),
                (wide_2, waist + after_waist),
                (wide_3, lower - before_lower),
                (wide_3, lower),
            ],
            [(wide_3, lower), (wide_3, lower + e), (d, tail), (0, tail)],
        )
        return points, _beyond(
            after_upper / (waist - upper),
            after_waist / (lower - waist),
            before_lower / (lower - waist),
        )

    start = np.array([0.74, 0.49, 0.39, 0.8, 0.43])  # a guitar's
    for i, room, followed, whole in (
        (1, waist - upper, math.sqrt(in_1 / (wide_1 * (1 - start[0]))), upper),
        (2, lower - waist, math.sqrt(in_2 / in_1), waist - upper),
        (4, lower - waist, math.sqrt(in_2 / (wide_3 * (1 - start[3]))), tail - lower),
    ):
        start[i] = min(start[i], 0.6 * room / followed / whole)
    return find, start


def _teardrop(outline: Stations) -> tuple[Find, Array]:
    """Neck joint, lower bout, tail, by the handle at the tail, and where to begin; one follows."""
    _, (lower, wide), (tail, _) = outline
    # Near its tail a bout has no room for the handle that follows from a long one.
    crest, flank = CREST * wide, min(FLANK * lower, 1.25 * (tail - lower))

    def find(handles: Array) -> tuple[Array, Array]:
        c = handles[:, 0] * wide
        after_lower = flank * np.sqrt((wide - c) / (wide - crest))
        points = _pieces(
            len(handles),
            [(0, 0), (crest, 0), (wide, lower - flank), (wide, lower)],
            [(wide, lower), (wide, lower + after_lower), (c, tail), (0, tail)],
        )
        return points, _beyond(after_lower / (tail - lower))

    return find, np.array([0.57])


def _beyond(*shares: Array) -> Array:
    return HANDLE_WEIGHT * np.maximum(np.stack(shares, axis=1) - LONGEST, 0)


def _pieces(count: int, *pieces: list[tuple[Array | float, Array | float]]) -> Array:
    """Bezier points whose coordinates are numbers, or one number for each set of handles."""
    made = np.empty((count, len(pieces), 4, 2))
    for i, piece in enumerate(pieces):
        for j, (x, y) in enumerate(piece):
            made[:, i, j, 0], made[:, i, j, 1] = x, y
    return made


def _derivatives(points: Array, t: Array) -> tuple[Array, Array, Array]:
    """First, second and third by the parameter, each shape (n, pieces, places, 2)."""
    legs = 3 * np.diff(points, axis=2)
    turns = 2 * np.diff(legs, axis=2)
    u, t = 1 - t[:, None], t[:, None]
    first, second, third = (legs[:, :, None, i] for i in range(3))
    return (
        u * u * first + 2 * u * t * second + t * t * third,
        u * turns[:, :, None, 0] + t * turns[:, :, None, 1],
        np.diff(turns, axis=2),
    )


def _bending(points: Array, t: Array) -> tuple[Array, Array, Array, Array]:
    """Places, curvature, its change by the parameter, and speed, at parameters on each piece."""
    v, a, j = _derivatives(points, t)
    square = (v * v).sum(axis=-1)
    speed = np.sqrt(square)
    across = v[..., 0] * a[..., 1] - v[..., 1] * a[..., 0]
    onward = v[..., 0] * j[..., 1] - v[..., 1] * j[..., 0]
    change = onward / speed**3 - 3 * across * (v * a).sum(axis=-1) / (speed**3 * square)
    u, t = 1 - t[:, None], t[:, None]
    weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    place = sum(w * points[:, :, None, i] for i, w in enumerate(weights))
    return np.asarray(place), across / speed**3, change, speed


def _segments(points: Array, parts: int) -> tuple[Segment, ...]:
    """Each Bezier piece parted into so many of the same curve."""
    return _tuples((_parting(parts)[None] @ points[:, None]).reshape(-1, 4, 2))


@cache
def _parting(parts: int) -> Array:
    """What each part's points are of the whole piece's, shape (parts, 4, 4): its blossom."""
    made = []
    for i in range(parts):
        a, b = i / parts, (i + 1) / parts
        made.append([_blossom(*at) for at in ((a, a, a), (a, a, b), (a, b, b), (b, b, b))])
    return np.array(made)


def _blossom(*places: float) -> Array:
    """The weights of four points for three parameters (de Casteljau, each step with its own)."""
    weights: Array = np.eye(4)
    for t in places:
        weights = weights[:-1] * (1 - t) + weights[1:] * t
    first: Array = weights[0]
    return first


def _tuples(points: Array) -> tuple[Segment, ...]:
    """Bezier points, shape (n, 4, 2), in floats of Python's own."""
    return tuple(((a, b), (c, d), (e, f), (g, h))
                 for (a, b), (c, d), (e, f), (g, h) in points.tolist())  # fmt: skip


def _spline(around: list[Point]) -> tuple[Segment, ...]:
    """A closed cubic spline through points, by the lengths of its chords."""
    from scipy.interpolate import CubicSpline  # only for outlines of many stations

    run = np.array([*around[:-1], around[0]])
    places = np.r_[0.0, np.cumsum(np.hypot(*np.diff(run, axis=0).T))]
    curve = CubicSpline(places, run, bc_type="periodic")
    slopes, thirds = curve(places, 1), np.diff(places)[:, None] / 3
    made = np.stack(
        [run[:-1], run[:-1] + slopes[:-1] * thirds, run[1:] - slopes[1:] * thirds, run[1:]], axis=1
    )
    return _tuples(made)


def _overshoots(half: tuple[Segment, ...]) -> bool:
    """Whether it goes back towards the neck, or wider or narrower than its stations, by much."""
    for start, first, second, end in half:
        for axis in (0, 1):
            low, high = sorted((start[axis], end[axis]))
            reach = [_cubic(start[axis], first[axis], second[axis], end[axis], i / 8)
                     for i in range(1, 8)]  # fmt: skip
            if min(reach) < low - OVERSHOOT_MM or max(reach) > high + OVERSHOOT_MM:
                return True
    return False


def _cubic(a: float, b: float, c: float, d: float, t: float) -> float:
    u = 1 - t
    return u**3 * a + 3 * u * u * t * b + 3 * u * t * t * c + t**3 * d


def other_half(half: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """The other half, from the tail back to the neck joint."""
    return tuple(
        ((-d[0], d[1]), (-c[0], c[1]), (-b[0], b[1]), (-a[0], a[1]))
        for a, b, c, d in reversed(half)
    )


def closed_outline(outline: Stations) -> tuple[Segment, ...]:
    """Both halves, from the joint down the right side and up the left."""
    half = fair_half(outline)
    return (*half, *other_half(half))
