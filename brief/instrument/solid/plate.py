"""A plate: an area of the plan between two heights, with pockets let into it and a rolled edge."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brief.instrument.solid.surface import EDGE_DEG, Floats, Surface
from brief.instrument.solid.triangles import triangles

Height = Callable[[Floats, Floats], Floats]
"""The height over the drawing's plane at x and y, mm."""
ROLL_STEPS = 3
POCKET_CLEAR_MM = 0.02
"""A pocket keeps so far from the edge of its plate."""


def level(z: float) -> Height:
    """The same height everywhere."""
    return lambda x, y: np.full(np.shape(x), z)


def plate(
    shape: Any,
    low: Height,
    high: Height,
    *,
    spacing: float,
    roll: float = 0.0,
    pockets: Sequence[tuple[Any, float]] = (),
    lines: Sequence[Any] = (),
    most: float | None = None,
) -> Surface:
    """A closed plate.

    Parameters
    ----------
    shape : shapely Polygon or MultiPolygon
        In plan, mm.
    low, high : Height
    spacing : float
        Between points on its faces, mm.
    roll : float
        Radius of the edge all round its upper face, mm.
    pockets : sequence of (shape, depth)
        What is let into its upper face, mm.
    lines : sequence of shapely LineString
        That no triangle crosses.
    most : float, optional
        As `triangles` has it.

    Returns
    -------
    Surface
        Its places are those of the plan; down its edge they go on as if it were laid flat.
    """
    import shapely

    inner = shape.buffer(-roll, join_style="mitre") if roll else shape
    clear = inner.buffer(-POCKET_CLEAR_MM)
    sunk = [(pocket.intersection(clear), depth) for pocket, depth in pockets]
    sunk = [(pocket, depth) for pocket, depth in sunk if pocket.area > 0]
    main = inner.difference(shapely.union_all([pocket for pocket, _ in sunk])) if sunk else inner
    plan = triangles(
        [main, *(pocket for pocket, _ in sunk)], spacing=spacing, lines=lines, most=most
    )
    return _raised(
        plan.points, plan.faces, plan.area, [0.0, *(d for _, d in sunk)], low, high, roll
    )


def _raised(
    flat: Floats,
    faces: NDArray[np.int64],
    area: NDArray[np.int64],
    depths: Sequence[float],
    low: Height,
    high: Height,
    roll: float,
) -> Surface:
    count = len(flat)
    x, y = flat[:, 0], flat[:, 1]
    foot, head = low(x, y), high(x, y)
    deep = np.asarray(depths)
    # Points: all at the foot, then all at each level that an area has.
    heights = [foot, *(head - depth for depth in deep)]
    points = [np.column_stack([flat, z]) for z in heights]
    up, down = _normals(high, flat), -_normals(low, flat)
    made = [
        _Faces(faces[:, ::-1], np.broadcast_to(down[faces[:, ::-1]], (*faces.shape, 3))),
        _Faces(faces + count * (1 + area)[:, None], up[faces]),
    ]
    edges, inside, beside = _edges(faces, area)
    outer = beside < 0
    base = _walls(flat, edges[outer])
    if roll:
        rows, made_walls = _rolled(flat, edges[outer], base, low, high, roll, count * len(points))
        points.append(rows)
        made += made_walls
    else:
        made.append(base.between(edges[outer], 0, count * (1 + inside[outer])))
    stepped = ~outer & (deep[inside] != deep[np.maximum(beside, 0)])
    for one in np.unique(inside[stepped]) if stepped.any() else ():
        # Once for each step, from the side of the area that lies lower.
        these = stepped & (inside == one) & (deep[inside] > deep[np.maximum(beside, 0)])
        if these.any():
            walls = _walls(flat, edges[these])
            low_level, high_level = count * (1 + inside[these]), count * (1 + beside[these])
            made.append(walls.between(edges[these], low_level, high_level, inward=True))
    all_points = np.concatenate(points)
    joined = np.concatenate([one.faces for one in made])
    normals = np.concatenate([one.normals for one in made])
    places = _places(all_points, joined, normals, high)
    return _welded(all_points, joined, normals, places)


class _Faces:
    """Faces with the normals of their corners."""

    def __init__(self, faces: NDArray[np.int64], normals: Floats) -> None:
        self.faces = faces
        self.normals = normals


class _Walls:
    """The normals at both ends of each edge of an outline, in the plan."""

    def __init__(self, start: Floats, end: Floats) -> None:
        self.start = start
        self.end = end

    def between(
        self,
        edges: NDArray[np.int64],
        low: int | NDArray[np.int64],
        high: NDArray[np.int64],
        *,
        inward: bool = False,
    ) -> _Faces:
        """Upright faces on these edges from one level to another."""
        a, b = edges[:, 0], edges[:, 1]
        sign = -1.0 if inward else 1.0
        first, second = (
            np.column_stack([sign * one, np.zeros(len(one))]) for one in (self.start, self.end)
        )
        faces = np.concatenate(
            [
                np.stack([a + low, b + low, b + high], axis=1),
                np.stack([a + low, b + high, a + high], axis=1),
            ]
        )
        normals = np.concatenate(
            [np.stack([first, second, second], axis=1), np.stack([first, second, first], axis=1)]
        )
        if inward:
            faces, normals = faces[:, ::-1], normals[:, ::-1]
        return _Faces(faces, normals)


def _edges(
    faces: NDArray[np.int64], area: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """The directed sides of faces that border another area or nothing, and the areas within and
    beside, -1 for none.
    """
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    of = np.tile(area, 3)
    count = faces.max() + 1
    key, back = sides[:, 0] * count + sides[:, 1], sides[:, 1] * count + sides[:, 0]
    order = np.argsort(key)
    found = np.minimum(np.searchsorted(key[order], back), len(key) - 1)
    there = key[order][found] == back
    beside = np.where(there, of[order][found], -1)
    border = beside != of
    return sides[border], of[border], beside[border]


def _walls(flat: Floats, edges: NDArray[np.int64]) -> _Walls:
    """Normals to the right of directed edges, smooth where the outline turns by little."""
    ahead = flat[edges[:, 1]] - flat[edges[:, 0]]
    right = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
    right /= np.linalg.norm(right, axis=1, keepdims=True)
    before, after = _neighbours(edges)
    limit = np.cos(np.radians(EDGE_DEG))

    def met(other: NDArray[np.int64]) -> Floats:
        beside = right[np.maximum(other, 0)]
        smooth = (other >= 0) & (np.einsum("ij,ij->i", right, beside) > limit)
        summed = right + np.where(smooth[:, None], beside, right)
        unit: Floats = summed / np.linalg.norm(summed, axis=1, keepdims=True)
        return unit

    return _Walls(met(before), met(after))


def _neighbours(edges: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Which edge ends where each starts, and which starts where each ends."""
    count = edges.max() + 1
    ends, starts = np.full(count, -1), np.full(count, -1)
    index = np.arange(len(edges))
    ends[edges[:, 1]], starts[edges[:, 0]] = index, index
    return ends[edges[:, 0]], starts[edges[:, 1]]


def _rolled(
    flat: Floats,
    edges: NDArray[np.int64],
    walls: _Walls,
    low: Height,
    high: Height,
    roll: float,
    start: int,
) -> tuple[Floats, list[_Faces]]:
    """The rolled edge and the wall below it, out from the rim of the upper face."""
    before, _ = _neighbours(edges)
    ring = edges[:, 0]  # each point of the rim starts one edge
    mine, other = _sideways(flat, edges), _sideways(flat, edges)[before]
    summed = mine + other
    summed /= np.maximum(np.linalg.norm(summed, axis=1, keepdims=True), 1e-9)
    # A corner goes out farther than the sides that meet in it.
    out = summed / np.maximum(np.einsum("ij,ij->i", summed, mine), 0.4)[:, None]
    number = np.full(flat.shape[0], -1)
    number[ring] = np.arange(len(ring))
    rows, levels = [], []
    for step in range(ROLL_STEPS + 1):
        turn = np.pi / 2 * step / ROLL_STEPS
        at = flat[ring] + out * roll * np.sin(turn)
        z = high(at[:, 0], at[:, 1]) - roll * (1 - np.cos(turn))
        rows.append(np.column_stack([at, z]))
        levels.append(turn)
    at = flat[ring] + out * roll
    rows.append(np.column_stack([at, low(at[:, 0], at[:, 1])]))
    # The underside reaches out to the wall by a strip of its own.
    rows.append(np.column_stack([flat[ring], low(flat[ring, 0], flat[ring, 1])]))
    a, b = number[edges[:, 0]], number[edges[:, 1]]
    made = []
    many = len(ring)
    for step in range(len(rows) - 1):
        upper, lower = start + step * many, start + (step + 1) * many
        tilt = [levels[min(i, ROLL_STEPS)] for i in (step, step + 1)]
        if step == len(rows) - 2:
            normal = np.broadcast_to([0.0, 0.0, -1.0], (len(edges), 3))
            quads = (normal, normal, normal, normal)
        else:
            quads = tuple(
                np.column_stack([np.sin(t) * one, np.full(len(one), np.cos(t))])
                for t in tilt
                for one in (walls.start, walls.end)
            )
        faces = np.concatenate(
            [
                np.stack([a + lower, b + lower, b + upper], axis=1),
                np.stack([a + lower, b + upper, a + upper], axis=1),
            ]
        )
        up_a, up_b, down_a, down_b = quads
        normals = np.concatenate(
            [np.stack([down_a, down_b, up_b], axis=1), np.stack([down_a, up_b, up_a], axis=1)]
        )
        made.append(_Faces(faces, normals))
    return np.concatenate(rows), made


def _sideways(flat: Floats, edges: NDArray[np.int64]) -> Floats:
    ahead = flat[edges[:, 1]] - flat[edges[:, 0]]
    right = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
    unit: Floats = right / np.linalg.norm(right, axis=1, keepdims=True)
    return unit


def _normals(height: Height, flat: Floats) -> Floats:
    """Upwards, of the surface at that height."""
    x, y, step = flat[:, 0], flat[:, 1], 0.05
    slope = np.column_stack(
        [
            (height(x - step, y) - height(x + step, y)) / (2 * step),
            (height(x, y - step) - height(x, y + step)) / (2 * step),
            np.ones(len(flat)),
        ]
    )
    unit: Floats = slope / np.linalg.norm(slope, axis=1, keepdims=True)
    return unit


def _places(points: Floats, faces: NDArray[np.int64], normals: Floats, high: Height) -> Floats:
    """The plan of each corner; on an edge, as far out as it lies below the upper face."""
    corners = points[faces]
    places = corners[..., :2].copy()
    sideways = np.linalg.norm(normals[..., :2], axis=-1)
    below = np.maximum(high(corners[..., 0], corners[..., 1]) - corners[..., 2], 0.0)
    steep = sideways > 0.9
    places[steep] += normals[steep][:, :2] * below[steep][:, None]
    return places


def _welded(points: Floats, faces: NDArray[np.int64], normals: Floats, places: Floats) -> Surface:
    _, first, where = np.unique(np.round(points, 6), axis=0, return_index=True, return_inverse=True)
    met = where.reshape(-1)[faces]
    real = (met[:, 0] != met[:, 1]) & (met[:, 1] != met[:, 2]) & (met[:, 2] != met[:, 0])
    return Surface(points[first], met[real], normals[real], places[real])
