"""Smooth curves through measured stations, as SVG path data.

Cubic Hermite pieces over a centripetal parameter (square root of the chord). The slope at a
station is that of the parabola through it and its neighbours, then limited so that each
coordinate is monotone between stations (Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17,
238-246). So the curve has no kinks, and never bulges beyond the widths that were stated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

Point = tuple[float, float]
Segment = tuple[Point, Point, Point, Point]


def mirrored(half: Sequence[Point]) -> list[Point]:
    """The points of a right half and their mirror images, in one run from side to side.

    Parameters
    ----------
    half : sequence of (x, y)
        The last is on the centre line x = 0.
    """
    return [*half, *((-x, y) for x, y in reversed(half[:-1]))]


def smooth(points: Sequence[Point], *, closed: bool = False) -> list[Segment]:
    """Bezier segments (start, control, control, end) through the points.

    Parameters
    ----------
    points : sequence of (x, y)
        At least 3, no two neighbours alike.
    closed : bool
        The last point must equal the first, and the curve runs through it without a kink.
    """
    run = [points[-2], *points, points[1]] if closed else list(points)
    steps = [math.sqrt(math.dist(a, b)) for a, b in pairwise(run)]
    slopes = list(
        zip(
            monotone_slopes([x for x, _ in run], steps),
            monotone_slopes([y for _, y in run], steps),
            strict=True,
        )
    )
    first, last = (1, len(run) - 2) if closed else (0, len(run) - 1)
    segments = []
    for i in range(first, last):
        (x1, y1), (x2, y2), third = run[i], run[i + 1], steps[i] / 3
        (dx1, dy1), (dx2, dy2) = slopes[i], slopes[i + 1]
        segments.append(
            (
                (x1, y1),
                (x1 + dx1 * third, y1 + dy1 * third),
                (x2 - dx2 * third, y2 - dy2 * third),
                (x2, y2),
            )
        )
    return segments


def tightest(segments: Sequence[Segment]) -> tuple[float, Point]:
    """The least radius that the curve turns to, and where; at 9 places on every piece.

    The radius of curvature |v|^3 / |v x a| of a parametric curve; infinite where it is straight.
    """
    least: tuple[float, Point] = (math.inf, segments[0][0])
    for start, first, second, end in segments:
        legs = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((start, first, second, end))]
        turns = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(legs)]
        for step in range(9):
            t = step / 8
            u = 1 - t
            vx, vy = (
                3 * (u * u * a + 2 * u * t * b + t * t * c) for a, b, c in zip(*legs, strict=True)
            )
            ax, ay = (6 * (u * a + t * b) for a, b in zip(*turns, strict=True))
            across = abs(vx * ay - vy * ax)
            radius = math.hypot(vx, vy) ** 3 / across if across else math.inf
            if radius < least[0]:
                least = radius, start if t < 0.5 else end
    return least


def monotone_slopes(values: Sequence[float], steps: Sequence[float]) -> list[float]:
    """Slopes with which cubic pieces between values never turn where the values do not.

    Parameters
    ----------
    values : sequence of n floats
    steps : sequence of n - 1 floats
        How far each value is from the next.

    References
    ----------
    Fritsch and Carlson (1980).
    """
    rises = [(b - a) / h for a, b, h in zip(values, values[1:], steps, strict=False)]
    slopes = [rises[0]]
    for before, after, h1, h2 in zip(rises, rises[1:], steps, steps[1:], strict=False):
        if before * after <= 0:
            slopes.append(0.0)
            continue
        parabola = (h2 * before + h1 * after) / (h1 + h2)
        limit = 3 * min(abs(before), abs(after))
        slopes.append(math.copysign(min(abs(parabola), limit), before))
    return [*slopes, rises[-1]]


def number(value: float) -> str:
    """A length for a path: one decimal, no trailing zero, no minus before nought."""
    return f"{round(value, 1) + 0.0:.1f}".removesuffix(".0")


def path_data(segments: Sequence[Segment], *, start: bool = True) -> str:
    """Path data for consecutive segments; `start` puts the opening move before them."""
    pieces = [f"M{_pair(segments[0][0])}"] if start else []
    pieces += [f"C{_pair(c1)} {_pair(c2)} {_pair(end)}" for _, c1, c2, end in segments]
    return "".join(pieces)


def polygon(points: Sequence[Point]) -> str:
    """Path data of a closed shape with straight edges."""
    return "M" + "L".join(_pair(point) for point in points) + "Z"


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
