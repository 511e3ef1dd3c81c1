"""A plate: an area of the plan between two heights, with pockets let into it and a rolled edge."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from brief.instrument.solid.making.surface import Floats, Ints, ShadedFaces, distinct, met_points
from brief.instrument.solid.making.triangles import Triangles, triangles
from brief.instrument.solid.making.walls import Faces, Height, Wall, borders

STEEP = 0.9  # the sine of a normal's lean, beyond which a face is part of an edge
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
    ledge: tuple[Any, float] | None = None,
    lines: Sequence[Any] = (),
    most: float | None = None,
) -> ShadedFaces:
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
        What is let into its upper face, mm; kept clear of its edge.
    ledge : (shape, depth), optional
        Sunk like a pocket, all along the outer edge of a plate that has no roll.
    lines : sequence of shapely LineString
        That no triangle crosses.
    most : float, optional
        As `triangles` has it.

    Returns
    -------
    ShadedFaces
        Its places are those of the plan; down its edge they go on as if it were laid flat.
    """
    import shapely

    inner = shape.buffer(-roll, join_style="mitre") if roll else shape
    clear = inner.buffer(-POCKET_CLEAR_MM)
    sunk = [(pocket.intersection(clear), depth) for pocket, depth in pockets]
    sunk = [(pocket, depth) for pocket, depth in sunk if pocket.area > 0]
    if ledge is not None:
        sunk.append((ledge[0].intersection(inner), ledge[1]))
    main = inner.difference(shapely.union_all([pocket for pocket, _ in sunk])) if sunk else inner
    plan = triangles(
        [main, *(pocket for pocket, _ in sunk)], spacing=spacing, lines=lines, most=most
    )
    depths = [0.0, *(depth for _, depth in sunk)]
    return _raised(plan, depths, low, high, roll)


def _raised(
    plan: Triangles, depths: Sequence[float], low: Height, high: Height, roll: float
) -> ShadedFaces:
    flat, faces, area = plan.points, plan.faces, plan.area
    count, (x, y) = len(flat), flat.T
    head, deep = high(x, y), np.asarray(depths)
    # Points: all at the foot, then all at each level that an area has.
    levels = [low(x, y), *(head - depth for depth in deep)]
    points = [np.column_stack([flat, z]) for z in levels]
    up, down = _normals(high, flat), -_normals(low, flat)
    made = [
        Faces(faces[:, ::-1], down[faces[:, ::-1]]),
        Faces(faces + count * (1 + area)[:, None], up[faces]),
    ]
    edges, within, beside = borders(faces, area)
    outer = beside < 0
    wall = Wall(flat, edges[outer])
    if roll:
        rim, rolled = wall.rolled(low, high, roll, count * len(points))
        points.append(rim)
        made.append(rolled)
    else:
        made.append(wall.upright(0, count * (1 + within[outer])))
    # Each step once, from the side of the area that lies lower.
    steps = ~outer & (deep[within] > deep[np.maximum(beside, 0)])
    for one in np.unique(within[steps]):
        these = steps & (within == one)
        sunk = count * (1 + within[these]), count * (1 + beside[these])
        made.append(Wall(flat, edges[these]).upright(*sunk, inward=True))
    return _welded(
        np.concatenate(points),
        np.concatenate([one.faces for one in made]),
        np.concatenate([one.normals for one in made]),
        high,
    )


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


def _welded(points: Floats, faces: Ints, normals: Floats, high: Height) -> ShadedFaces:
    """Points in one place as one, without the faces that have shrunk to a line.

    The places are the plan's, and on an edge as far out as it lies below the upper face.
    """
    corners = points[faces]
    places = corners[..., :2].copy()
    below = np.maximum(high(corners[..., 0], corners[..., 1]) - corners[..., 2], 0.0)
    steep = np.linalg.norm(normals[..., :2], axis=-1) > STEEP
    places[steep] += normals[steep][:, :2] * below[steep][:, None]
    first, met = met_points(points, faces)
    real = distinct(met)
    return ShadedFaces(points[first], met[real], normals[real], places[real])
