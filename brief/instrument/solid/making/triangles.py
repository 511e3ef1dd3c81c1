"""A flat area cut into triangles that keep to its lines, with points all over it.

A Delaunay triangulation (Qhull, by scipy) has an edge of a line where no other point is near; a
line that is missing is halved until it is there (conforming Delaunay triangulation: Edelsbrunner
and Tan 1993, Discrete Comput. Geom. 10, 197-213; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
LEAST_MM = 1e-3  # neighbours on a line that are nearer than this are one point
MOST_HALVINGS = 24


@dataclass(frozen=True)
class Triangles:
    """Triangles over one or several areas side by side.

    Attributes
    ----------
    points : (n, 2) array
        mm.
    faces : (m, 3) array
        From x to y (the cross product is above 0).
    area : (m,) array
        Which of the areas each lies in.
    """

    points: NDArray[np.float64]
    faces: Ints
    area: Ints


def triangles(
    areas: Sequence[Any], *, spacing: float, lines: Sequence[Any] = (), most: float | None = None
) -> Triangles:
    """Areas that lie side by side, cut into triangles.

    Parameters
    ----------
    areas : sequence of shapely Polygon or MultiPolygon
        None overlaps another.
    spacing : float, above 0
        Between points inside, mm.
    lines : sequence of shapely LineString
        Also kept to, as the joint of two halves.
    most : float, optional
        The longest piece of a line, mm; `spacing` if not given.

    Raises
    ------
    ArithmeticError
        Where a line cannot be kept to, which no area without slivers brings about.
    """
    import shapely
    from scipy.spatial import Delaunay

    drawn = [area.boundary for area in areas]
    whole = shapely.union_all(list(areas))
    drawn += [line.intersection(whole) for line in lines]
    # Where lines meet each has a point: they are noded, on a grid too fine to see.
    noded = shapely.unary_union(shapely.set_precision(drawn, LEAST_MM / 10))
    noded = shapely.segmentize(noded, most or spacing)
    points, edges = _segments(noded)
    inside = _within(whole.buffer(-0.6 * spacing), spacing)
    loose = len(inside)
    points = np.concatenate([inside, points])
    edges = edges + loose
    for _ in range(MOST_HALVINGS):
        faces = Delaunay(points).simplices.astype(np.int64)
        missing = ~_has(faces, edges, len(points))
        if not missing.any():
            break
        halved = edges[missing]
        middles = (points[halved[:, 0]] + points[halved[:, 1]]) / 2
        new = len(points) + np.arange(len(halved))
        edges = np.concatenate(
            [
                edges[~missing],
                np.stack([halved[:, 0], new], axis=1),
                np.stack([new, halved[:, 1]], axis=1),
            ]
        )
        points = np.concatenate([points, middles])
    else:
        raise ArithmeticError("an outline of the solid could not be cut into triangles")
    return _sorted_out(points, faces, edges, areas)


def _segments(lines: Any) -> tuple[NDArray[np.float64], Ints]:
    """The points of lines, each once, and their pieces."""
    import shapely

    pieces = shapely.get_parts(lines)
    coords, of = shapely.get_coordinates(pieces, return_index=True)
    points, where = np.unique(coords, axis=0, return_inverse=True)
    where = where.reshape(-1)
    same = of[1:] == of[:-1]
    edges = np.stack([where[:-1][same], where[1:][same]], axis=1)
    edges = np.unique(np.sort(edges[edges[:, 0] != edges[:, 1]], axis=1), axis=0)
    return points, edges.astype(np.int64)


def _within(area: Any, spacing: float) -> NDArray[np.float64]:
    """Points of a lattice of equal triangles that lie in an area."""
    import shapely

    if area.is_empty:
        return np.zeros((0, 2))
    left, top, right, bottom = area.bounds
    rows = np.arange(top, bottom, spacing * 0.866)
    columns = np.arange(left, right + spacing, spacing)
    x, y = np.meshgrid(columns, rows)
    x[1::2] += spacing / 2
    found = np.stack([x.ravel(), y.ravel()], axis=1)
    shapely.prepare(area)
    kept: NDArray[np.float64] = found[shapely.contains_xy(area, found[:, 0], found[:, 1])]
    return kept


def _keys(edges: Ints, count: int) -> Ints:
    """A number for each pair of points, whichever of them comes first."""
    ends = np.sort(edges, axis=1)
    return ends[:, 0] * count + ends[:, 1]


def _sides(faces: Ints) -> Ints:
    """The sides of faces: all first ones, all second ones, all third ones."""
    return np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])


def _has(faces: Ints, edges: Ints, count: int) -> NDArray[np.bool_]:
    there: NDArray[np.bool_] = np.isin(_keys(edges, count), _keys(_sides(faces), count))
    return there


def _sorted_out(
    points: NDArray[np.float64], faces: Ints, edges: Ints, areas: Sequence[Any]
) -> Triangles:
    """The faces in an area. Those that no line parts lie in the same, which the largest tells."""
    import shapely
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    keys = _keys(_sides(faces), len(points))
    of = np.tile(np.arange(len(faces)), 3)
    order = np.argsort(keys, kind="stable")
    keys, of = keys[order], of[order]
    free = ~np.isin(keys, _keys(edges, len(points)))
    twice = keys[1:] == keys[:-1]
    one, other = of[1:][twice & free[1:]], of[:-1][twice & free[1:]]
    linked = coo_array((np.ones(len(one)), (one, other)), shape=(len(faces), len(faces)))
    groups, group = connected_components(linked, directed=False)
    a, b, c = (points[faces[:, i]] for i in range(3))
    ahead, back = b - a, c - a
    size = np.abs(ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0])
    by_size = np.argsort(size, kind="stable")
    largest = np.empty(groups, dtype=np.int64)
    largest[group[by_size]] = by_size  # the last that is written stays
    x, y = ((a + b + c) / 3)[largest].T
    lies = np.full(groups, -1, dtype=np.int64)
    for i, area in enumerate(areas):
        lies[shapely.contains_xy(area, x, y)] = i
    # What borders on nothing, with no line between, is outside, however near its middle is to one.
    once = np.ones(len(keys), dtype=bool)
    once[1:] &= ~twice
    once[:-1] &= ~twice
    lies[group[of[once & free]]] = -1
    area_of = lies[group]
    kept = area_of >= 0
    used, where = np.unique(faces[kept], return_inverse=True)
    return Triangles(points[used], where.reshape(-1, 3).astype(np.int64), area_of[kept])
