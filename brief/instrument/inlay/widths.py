"""How thin a shape is at its thinnest, how narrow its narrowest gap, and where its points are.

The width at a place is the diameter of the disc that touches two edges which face each other:
their distance over the cosine of half the angle between them. So round ends, rings and bands come
out at their true width whichever two places on them are taken. Corners of 60° and more have no
such pair and no width. A point, which would be of no width at its end, is measured `BEHIND_MM`
behind it: our own working figure.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from brief.instrument.curve import Point

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Tips = tuple[NDArray[np.int64], Array]

FACING = -0.5  # cosine of 120°: between the outward directions of two edges that face each other
POINT_MM = 0.2  # an edge that turns back within this is a point: no saw leaves it wider
BEHIND_MM = 1.0
MOST_SAMPLES, LEAST_SAMPLES = 20_000, 24  # in all, and on one ring
MOST_PAIRS = 2_000_000
STEPS_TO_WIDTH = 20  # samples along an edge for each width of the place looked for
PAIRS_AT_ONCE = 500


@dataclass(frozen=True)
class Narrow:
    """A narrow place: how wide, and its middle, in the shape's own millimetres."""

    width_mm: float
    at: Point


@dataclass(frozen=True)
class _Edges:
    """Places along all edges, closely set, with the way out of the stuff there.

    at, out : x and y of each. point : which point of the shape it lies nearest to, -1 for none,
    and how far along the edge; notch : the same for those that run inwards.
    """

    at: Array
    out: Array
    point: Tips
    notch: Tips


def thinnest(shape: Any) -> tuple[Narrow, Narrow | None]:
    """The thinnest place of a MultiPolygon in millimetres, and its narrowest gap, if it has one.

    Where it is thin nowhere but at its points, the first is the largest disc that it holds.
    """
    import shapely

    inner = _narrowest(shape, gap=False)
    if inner is None:
        disc = max(
            (shapely.maximum_inscribed_circle(piece) for piece in shape.geoms),
            key=lambda line: line.length,
        )
        x, y = disc.coords[0]
        inner = Narrow(2 * disc.length, (x, y))
    return inner, _narrowest(shape, gap=True)


def points_of(shape: Any) -> list[Point]:
    """The ends of a shape that run out to a point."""
    found = []
    for run in _rings(shape):
        for place in _turns_back(run, inwards=False):
            at = np.searchsorted(_places(run)[1:], place)
            x, y = run[at % len(run)]
            found.append((float(x), float(y)))
    return found


def _narrowest(shape: Any, *, gap: bool) -> Narrow | None:
    """The narrowest place, found ever more closely.

    Each time with samples twenty to the width that was found before, and looking no further than a
    little beyond it.
    """
    around, step = shape.length, shape.length / 800
    found = _first(shape, step, gap=gap)
    while found is not None:
        finest = max(found.width_mm / STEPS_TO_WIDTH, around / MOST_SAMPLES)
        if step <= finest:
            break
        step = finest
        closer = _nearest_facing(shape, _edges(shape, step), 1.2 * found.width_mm, gap=gap)
        if closer is None or closer.width_mm > 0.995 * found.width_mm:
            return closer or found
        found = closer
    return found


def _first(shape: Any, step: float, *, gap: bool) -> Narrow | None:
    """A narrow place to begin with, looked for ever further away."""
    left, top, right, bottom = shape.bounds
    edges, reach = _edges(shape, step), 8 * step
    while True:
        found = _nearest_facing(shape, edges, reach, gap=gap)
        if found is not None or reach > math.hypot(right - left, bottom - top):
            return found
        reach *= 2


def _nearest_facing(shape: Any, edges: _Edges, reach: float, *, gap: bool) -> Narrow | None:
    """Of all pairs of places within `reach` that face each other, the one of least width.

    None where there are more pairs than can be looked at, which only a mass of crumbs has.
    """
    import shapely
    from scipy.spatial import cKDTree

    tree = cKDTree(edges.at)
    if tree.count_neighbors(tree, reach) > 2 * MOST_PAIRS:
        return None
    pairs = tree.query_pairs(reach, output_type="ndarray")
    one, other = pairs[:, 0], pairs[:, 1]
    out = -edges.out if gap else edges.out
    tip, behind = edges.notch if gap else edges.point
    cosine = np.einsum("ij,ij->i", out[one], out[other])
    at_a_tip = (tip[one] >= 0) & (tip[one] == tip[other])
    at_a_tip &= np.minimum(behind[one], behind[other]) < BEHIND_MM
    facing = (cosine <= FACING) & ~at_a_tip
    one, other, cosine = one[facing], other[facing], cosine[facing]
    across = edges.at[other] - edges.at[one]
    # They face each other through the stuff (or through the gap), not back to back.
    inside = (np.einsum("ij,ij->i", across, out[one]) < 0) & (
        np.einsum("ij,ij->i", across, out[other]) > 0
    )
    one, other, cosine, across = one[inside], other[inside], cosine[inside], across[inside]
    widths = np.hypot(*across.T) / np.sqrt((1 - cosine) / 2)
    order = np.argsort(widths)
    shapely.prepare(shape)
    for first in range(0, len(order), PAIRS_AT_ONCE):
        tried = order[first : first + PAIRS_AT_ONCE]
        start, step = edges.at[one[tried]], across[tried]
        chords = shapely.linestrings(np.stack([start + 0.02 * step, start + 0.98 * step], axis=1))
        clear = ~shapely.intersects(shape, chords) if gap else shapely.covers(shape, chords)
        if clear.any():
            best = int(np.argmax(clear))
            x, y = start[best] + step[best] / 2
            return Narrow(float(widths[tried[best]]), (float(x), float(y)))
    return None


def _edges(shape: Any, step: float) -> _Edges:
    at: list[Array] = []
    out: list[Array] = []
    points: list[Tips] = []
    notches: list[Tips] = []
    known = 0
    for run in _rings(shape):
        along = np.roll(run, -1, axis=0) - run
        lengths = np.hypot(*along.T)
        # The chord of a curve is met in its middle alone, where it runs as the curve does.
        counts = np.where(lengths < 2 * step, 1, np.ceil(lengths / step)).astype(int)
        edge = np.repeat(np.arange(len(run)), counts)
        nth = np.arange(len(edge)) - np.repeat(np.cumsum(counts) - counts, counts)
        share = (nth + 0.5) / counts[edge]
        place, around = _places(run)[edge] + lengths[edge] * share, float(lengths.sum())
        # Of edges far shorter than a step not every one is needed; of a small ring they are.
        bins = np.floor(place / min(step, around / LEAST_SAMPLES))
        kept = np.concatenate([[True], np.diff(bins) > 0])
        edge, share, place = edge[kept], share[kept], place[kept]
        at.append(run[edge] + along[edge] * share[:, None])
        way = along / lengths[:, None]
        out.append(np.stack([way[edge, 1], -way[edge, 0]], axis=1))
        for marks, inwards in ((points, False), (notches, True)):
            tips = np.array(_turns_back(run, inwards=inwards))
            marks.append(_nearest_tip(place, tips, around, known))
            known += len(tips)
    return _Edges(np.concatenate(at), np.concatenate(out), _joined(points), _joined(notches))


def _nearest_tip(place: Array, tips: Array, around: float, known: int) -> Tips:
    """Which tip of a ring each place lies nearest to, counted on from `known`, and how far."""
    if not len(tips):
        return np.full(len(place), -1), np.full(len(place), math.inf)
    apart = np.abs(place[:, None] - tips[None, :])
    apart = np.minimum(apart, around - apart)
    nearest = apart.argmin(axis=1)
    return known + nearest, apart[np.arange(len(place)), nearest]


def _joined(marks: list[Tips]) -> Tips:
    return np.concatenate([one for one, _ in marks]), np.concatenate([far for _, far in marks])


def _rings(shape: Any) -> list[Array]:
    """The edges with the stuff to their left; no point twice."""
    from shapely.geometry.polygon import orient

    found = []
    for piece in shape.geoms:
        turned = orient(piece)
        for ring in (turned.exterior, *turned.interiors):
            points = np.array(ring.coords)[:-1]
            kept = np.hypot(*(points - np.roll(points, -1, axis=0)).T) > 0
            found.append(points[kept])
    return found


def _places(run: Array) -> Array:
    """How far along its ring each point lies."""
    lengths = np.hypot(*(np.roll(run, -1, axis=0) - run).T)
    return np.concatenate([[0.0], np.cumsum(lengths)[:-1]])


def _turns_back(run: Array, *, inwards: bool) -> list[float]:
    """Where along its ring an edge turns by 120° and more within POINT_MM.

    Towards the stuff (a point), or away from it (the end of a notch).
    """
    along = np.roll(run, -1, axis=0) - run
    before = np.roll(along, 1, axis=0)
    turn = np.arctan2(
        before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0],
        np.einsum("ij,ij->i", before, along),
    )
    if inwards:
        turn = -turn
    places, around = _places(run), float(np.hypot(*along.T).sum())
    twice = np.concatenate([places, places + around])
    summed = np.concatenate([[0.0], np.cumsum(np.concatenate([turn, turn]))])
    last = np.searchsorted(twice, places + POINT_MM, side="right")
    within = summed[last] - summed[: len(run)]
    found: list[float] = []
    for i in np.flatnonzero(within >= math.acos(FACING)):
        middle = float(twice[i] + twice[last[i] - 1]) / 2
        gap = (middle - found[-1]) if found else math.inf
        if gap > POINT_MM:
            found.append(middle)
    if len(found) > 1 and found[0] + around - found[-1] <= POINT_MM:
        found.pop()
    return found
