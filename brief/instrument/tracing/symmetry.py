"""Where a body is symmetric: the centre line of a run of points, and the halves beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError

Run = NDArray[np.float64]
"""Points, shape (n, 2), in millimetres; y runs down."""
Axis = tuple[tuple[float, float], tuple[float, float]]
"""Neck joint and tail, where the points have them."""

DENSE = 4000  # points that an outline is looked at by
ALIKE_SHARE = 0.75  # of an outline has to have a mirror image
STRAIGHT_SHARE = 0.9  # a straight edge this long beside the whole length is the edge of a half


@dataclass(frozen=True)
class Half:
    """A half, as points (half width, from the joint) from the joint to the tail, and its axis.

    `left` is with the neck up.
    """

    run: Run
    axis: Axis
    left: bool


def straight_edge(run: Run, extent: float) -> tuple[Run, Run] | None:
    """The ends of a straight edge as long as the whole: where a half was cut off."""
    dense = evenly(np.vstack([run, run[:1]]), 400)
    for turn in np.linspace(0, math.pi, 90, endpoint=False):
        across = dense @ np.array([math.cos(turn), math.sin(turn)])
        for low in (across.min(), across.max()):
            edge = _line_along(dense, np.abs(across - low) < 0.02 * extent, extent)
            if edge is not None:
                return edge
    return None


def _line_along(dense: Run, near: NDArray[np.bool_], extent: float) -> tuple[Run, Run] | None:
    """The ends of the straight line through what lies near, and then through what lies on it."""
    for off in (0.004, 0.0015, 0.0015):
        on = dense[near]
        if near.mean() < 0.3 or np.ptp(on, axis=0).max() < STRAIGHT_SHARE * extent / 2:
            return None
        middle = on.mean(axis=0)
        _, _, axes = np.linalg.svd(on - middle)
        near = np.abs((dense - middle) @ axes[1]) < off * extent
    along = (dense[near] - middle) @ axes[0]
    if near.mean() < 0.3 or np.ptp(along) < STRAIGHT_SHARE * extent:
        return None
    return middle + axes[0] * along.min(), middle + axes[0] * along.max()


def halves_of(
    run: Run, edge: tuple[Run, Run] | None, *, closed: bool, waver_mm: float, turned: bool
) -> tuple[Half, ...]:
    """The halves of a run of points, one on each side of its centre line.

    Parameters
    ----------
    run : ndarray, shape (n, 2)
        Points in order.
    edge : two points, or None
        The ends of a straight edge that is the centre line; without it, the axis of the run.
    closed : bool
        Whether the last point is joined to the first.
    waver_mm : float
        How far a line of the drawing may waver.
    turned : bool
        Whether the neck is at the wider end; as a rule it is at the narrower one.

    Returns
    -------
    tuple of Half
        One beside a straight edge, else two.
    """
    if edge is None:
        origin, along = _axis(run)
    else:
        origin, along = edge[0], (edge[1] - edge[0]) / math.dist(*edge)
    ring = np.vstack([run, run[:1]]) if closed else run
    dense = evenly(ring, DENSE)
    placed = _placed(dense, origin, along)
    # The neck is at the end that is farther from the middle of the area: the narrower one.
    middle = _middle_of_area(_placed(run, origin, along))[1]
    low, high = placed[:, 1].min(), placed[:, 1].max()
    if (middle - low < high - middle) != turned:
        along = -along
        placed = -placed
    if edge is not None:
        return (_one_half(placed, origin, along, closed=closed, waver_mm=waver_mm),)
    return _both(placed, origin, along)


def _one_half(placed: Run, origin: Run, along: Run, *, closed: bool, waver_mm: float) -> Half:
    """The half that lies to one side of the edge."""
    side = placed.copy()
    left = abs(side[:, 0].min()) <= side[:, 0].max()
    if not left:
        side[:, 0] *= -1
    if closed:
        # From the upper end of the edge round to the lower: what does not lie on the edge.
        width = side[:, 0].max()
        free = np.flatnonzero(side[:, 0] > max(0.004 * width, 4 * waver_mm))
        gap = int(np.argmax(np.diff(np.r_[free, free[0] + len(side)])))
        order = np.r_[free[gap + 1 :], free[: gap + 1]]
        side = side[order]
    if side[0, 1] > side[-1, 1]:
        side = side[::-1]
    if closed:  # the last millimetres to the centre line run on as they come
        side = np.vstack([[0.0, _meets(side)], side, [0.0, _meets(side[::-1])]])
    start, end = side[:, 1].min(), side[:, 1].max()
    side[[0, -1], 0] = 0.0
    side[:, 1] -= start
    axis = _axis_ends(origin, along, start, end)
    return Half(side, axis, left)


def _meets(side: Run) -> float:
    """Where a half that begins a little off the centre line meets it, going straight on."""
    slope = np.polyfit(side[:12, 0], side[:12, 1], 1)
    on = float(np.polyval(slope, 0.0))
    near = float(side[0, 1])
    return on if abs(on - near) < 0.02 * float(np.ptp(side[:, 1])) else near


def _both(placed: Run, origin: Run, along: Run) -> tuple[Half, ...]:
    x, y = placed[:, 0], placed[:, 1]
    crossings = np.flatnonzero((x[:-1] < 0) != (x[1:] < 0))
    if len(crossings) != 2:
        raise InputError(
            "The outline crosses its own centre line in "
            f"{len(crossings)} places instead of 2. Draw the body alone, without neck or hole, "
            "or photograph a mould on a plain ground."
        )
    at = [
        y[i] + (y[i + 1] - y[i]) * (0 - x[i]) / (x[i + 1] - x[i]) if x[i + 1] != x[i] else y[i]
        for i in crossings
    ]
    first, second = (int(i) for i in crossings)
    there = placed[first + 1 : second + 1]
    back = np.vstack([placed[second + 1 :], placed[1 : first + 1]])
    sides = []
    start, end = float(y.min()), float(y.max())
    for part, ends in ((there, at), (back, at[::-1])):
        side = np.vstack([[0.0, ends[0]], part, [0.0, ends[1]]])
        left = bool(side[:, 0].mean() > 0)
        side[:, 0] = np.abs(side[:, 0])
        if side[0, 1] > side[-1, 1]:
            side = side[::-1]
        side[:, 1] -= start
        sides.append(Half(side, _axis_ends(origin, along, start, end), left))
    return tuple(sides)


def _axis_ends(origin: Run, along: Run, start: float, end: float) -> Axis:
    one, other = origin + along * start, origin + along * end
    return (float(one[0]), float(one[1])), (float(other[0]), float(other[1]))


def _placed(run: Run, origin: Run, along: Run) -> Run:
    """Points as (across, along) the centre line.

    Across is to the right of who looks along it, with y down.
    """
    across = np.array([-along[1], along[0]])
    moved = run - origin
    return np.column_stack([moved @ across, moved @ along])


def _axis(run: Run) -> tuple[Run, Run]:
    """A point and the direction of the line that the mirror image lies nearest about."""
    from scipy.optimize import minimize
    from scipy.spatial import cKDTree

    dense = evenly(np.vstack([run, run[:1]]), DENSE)
    tangents = np.roll(dense[:-1], -1, axis=0) - np.roll(dense[:-1], 1, axis=0)
    tangents /= np.hypot(*tangents.T)[:, None]
    tree, middle = cKDTree(dense[:-1]), _middle_of_area(run)
    few = dense[:-1:8] - middle
    size = float(np.ptp(dense, axis=0).max())

    def missed(line: Run) -> float:
        turn, aside = line[0], line[1] * size
        normal = np.array([-math.sin(turn), math.cos(turn)])
        image = few - 2 * ((few @ normal) - aside)[:, None] * normal + middle
        _, nearest = tree.query(image)
        off = image - dense[nearest]
        square = off[:, 0] * tangents[nearest, 1] - off[:, 1] * tangents[nearest, 0]
        # A cutaway has no mirror image: what fits worst is left out (least trimmed squares).
        kept = int(len(square) * ALIKE_SHARE)
        return float(np.partition(square**2, kept)[:kept].mean())

    turns = np.linspace(0, math.pi, 36, endpoint=False)
    start = min((np.array([turn, 0.0]) for turn in turns), key=missed)
    best = minimize(
        missed,
        start,
        method="Nelder-Mead",
        options={
            "xatol": 1e-7,
            "fatol": 1e-12,
            "maxiter": 400,
            "initial_simplex": start + np.array([[0, 0], [0.04, 0], [0, 0.01]]),
        },
    ).x
    along = np.array([math.cos(best[0]), math.sin(best[0])])
    normal = np.array([-along[1], along[0]])
    return middle + normal * best[1] * size, along


def _middle_of_area(run: Run) -> Run:
    """The centroid of a polygon."""
    x, y = run.T
    x_2, y_2 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y_2 - x_2 * y
    area = cross.sum() * 3
    if abs(area) < 1e-9:
        raise InputError("The outline encloses nothing. Draw it once round the body.")
    return np.array([((x + x_2) * cross).sum() / area, ((y + y_2) * cross).sum() / area])


def evenly(run: Run, count: int) -> Run:
    """`count` points evenly along a run."""
    steps = np.r_[0.0, np.cumsum(np.hypot(*np.diff(run, axis=0).T))]
    places = np.linspace(0, steps[-1], count)
    return np.column_stack([np.interp(places, steps, run[:, axis]) for axis in (0, 1)])


def apart(one: Run, other: Run) -> float:
    """How far two halves lie from each other at the most."""
    return float(
        max(distances(evenly(one, 300), other).max(), distances(evenly(other, 300), one).max())
    )


def distances(points: Run, run: Run) -> Run:
    """From each point to the nearest place of a run."""
    from scipy.spatial import cKDTree

    fine = evenly(run, max(DENSE, 4 * len(run)))
    _, nearest = cKDTree(fine).query(points)
    best = np.full(len(points), np.inf)
    for beside in (-1, 0):  # the two chords that meet at the nearest point
        start = fine[np.clip(nearest + beside, 0, len(fine) - 2)]
        chord = fine[np.clip(nearest + beside, 0, len(fine) - 2) + 1] - start
        share = ((points - start) * chord).sum(axis=1) / np.maximum((chord**2).sum(axis=1), 1e-18)
        foot = start + np.clip(share, 0, 1)[:, None] * chord
        best = np.minimum(best, np.hypot(*(points - foot).T))
    return best
