"""A surface while it is made: points that are one where they meet, and where each is cut from.

From it comes the mesh, whose points are parted at edges and whose normals are smooth between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from brief.instrument.solid.mesh import Mesh

EDGE_DEG = 32.0
"""Faces that meet at more than this have an edge between them."""
Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class ShadedFaces:
    """Faces with what each of their corners is like.

    Attributes
    ----------
    points : (n, 3) array
        mm.
    faces : (m, 3) array
    normals : (m, 3, 3) array
        Of each corner of each face, unit.
    places : (m, 3, 2) array
        Of each corner, on the part: mm across and down, as the part is painted in the flat picture.
    """

    points: Floats
    faces: Ints
    normals: Floats
    places: Floats

    def moved(self, by: Sequence[float]) -> ShadedFaces:
        """The same elsewhere; it keeps its places on the part."""
        return replace(self, points=self.points + np.asarray(by, dtype=float))

    @property
    def in_plan(self) -> ShadedFaces:
        """The same, cut as if the photograph lay over it from the front."""
        return replace(self, places=self.points[self.faces][..., :2])

    def tipped(self, deg: float, y: float, z: float) -> ShadedFaces:
        """The same turned about a line across the instrument, its upper end away from the front."""
        turn = np.radians(deg)
        cos, sin = np.cos(turn), np.sin(turn)
        matrix = np.array([[1, 0, 0], [0, cos, sin], [0, -sin, cos]])
        about = np.array([0.0, y, z])
        return replace(
            self, points=(self.points - about) @ matrix + about, normals=self.normals @ matrix
        )


def surface(points: Floats, faces: Ints, places: Floats) -> ShadedFaces:
    """The closed surface of these faces, outwards, its normals smooth but at edges.

    Parameters
    ----------
    points : (n, 3) array
        Points in one place count as one.
    faces : (m, 3) array
        All turned the same way; faces that have shrunk to a line are left out.
    places : (n, 2) array
        Of each point.
    """
    first, met = met_points(points, faces)
    real = distinct(met)
    met, corners = met[real], places[faces[real]]
    points = points[first]
    a, b, c = (points[met[:, i]] for i in range(3))
    if np.einsum("ij,ij->", a - points.mean(axis=0), np.cross(b - a, c - a)) < 0:
        met, corners = met[:, ::-1], corners[:, ::-1]
    return ShadedFaces(points, met, smooth_normals(points, met), corners)


def met_points(points: Floats, faces: Ints) -> tuple[Ints, Ints]:
    """Which points are the first in their place, and the faces numbered by those."""
    fine = np.round(points, 6)
    _, first, where = np.unique(fine, axis=0, return_index=True, return_inverse=True)
    return first, where.reshape(-1)[faces]


def distinct(faces: Ints) -> NDArray[np.bool_]:
    """Which faces have three corners that differ."""
    a, b, c = faces.T
    kept: NDArray[np.bool_] = (a != b) & (b != c) & (c != a)
    return kept


def joined(pieces: Sequence[ShadedFaces]) -> ShadedFaces:
    """Several as one."""
    starts = np.cumsum([0, *(len(one.points) for one in pieces[:-1])])
    return ShadedFaces(
        np.concatenate([one.points for one in pieces]),
        np.concatenate([one.faces + start for one, start in zip(pieces, starts, strict=True)]),
        np.concatenate([one.normals for one in pieces]),
        np.concatenate([one.places for one in pieces]),
    )


def smooth_normals(points: Floats, faces: Ints) -> Floats:
    """Of each corner: the mean of the faces about its point that no edge parts from its own.

    Each counts by its angle there (Thürmer and Wüthrich 1998, J. Graphics Tools 3(1), 43-46; from
    memory).
    """
    corners = points[faces]
    ahead, back = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    across = np.cross(ahead[:, 0], back[:, 0])
    flat = across / np.maximum(np.linalg.norm(across, axis=1, keepdims=True), 1e-300)
    lengths = np.linalg.norm(ahead, axis=2) * np.linalg.norm(back, axis=2)
    cosines = np.einsum("ijk,ijk->ij", ahead, back) / np.maximum(lengths, 1e-300)
    angles = np.arccos(np.clip(cosines, -1, 1)).ravel()
    # Every pair of corners at the same point.
    at = faces.ravel()
    order = np.argsort(at, kind="stable")
    counts = np.bincount(at, minlength=len(points))
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    times = counts[at[order]]
    one = np.repeat(order, times)
    step = np.arange(len(one)) - np.repeat(np.cumsum(times) - times, times)
    other = order[np.repeat(starts[at[order]], times) + step]
    alike = np.einsum("ij,ij->i", flat[one // 3], flat[other // 3]) > np.cos(np.radians(EDGE_DEG))
    one, other = one[alike], other[alike]
    weighed = flat[other // 3] * angles[other][:, None]
    summed = np.stack(
        [np.bincount(one, weights=weighed[:, i], minlength=len(at)) for i in range(3)], axis=1
    )
    long = np.linalg.norm(summed, axis=1, keepdims=True)
    own = np.repeat(flat, 3, axis=0)
    unit: Floats = np.where(long > 1e-12, summed / np.maximum(long, 1e-12), own)
    return np.reshape(unit, (-1, 3, 3))


def meshed(made: ShadedFaces, uv: Floats) -> Mesh:
    """The mesh of a surface; `uv` is an (m, 3, 2) array, of each corner of each face."""
    corners, normals = made.faces.ravel(), made.normals.reshape(-1, 3)
    flat = uv.reshape(-1, 2)
    # Corners alike in all three are one point: a hash of them takes a tenth of the time of sorting
    # them by each in turn.
    fine = np.column_stack([corners, np.round(normals * 500), np.round(flat * 20_000)])
    key = np.zeros(len(fine), dtype=np.uint64)
    for column in fine.astype(np.int64).astype(np.uint64).T:
        key = (key ^ column) * np.uint64(0x9E3779B97F4A7C15)
        key ^= key >> np.uint64(29)
    _, first, where = np.unique(key, return_index=True, return_inverse=True)
    return Mesh(
        made.points[corners[first]],
        where.reshape(-1, 3).astype(np.int32),
        flat[first],
        normals[first],
    )
