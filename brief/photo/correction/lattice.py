"""Rows and columns of small even squares in a picture, as a chart shows them from any side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.colour.spaces import Array

LEAST_SQUARES = 8  # fewer give no lattice to speak of
LONGEST_ROW = 12
LEAST_SIDE = 6  # pixels, of what is even
RIM = 2.0  # pixels all round, in which blur and the difference of neighbours show the edge
LONGEST_SIDES = 2.5  # times the shortest
LARGEST_SHARE = 1 / 24  # of the picture; 24 of them have to fit
_STEPS = (6, 12, 24)  # levels of 255 between neighbouring pixels that make an edge
_MOST_QUADS = 400

Bytes = NDArray[np.uint8]


@dataclass(frozen=True)
class Lattice:
    """Squares at whole-number places (column, row), seen in perspective.

    Attributes
    ----------
    cells : ndarray of int, shape (n, 2)
    grid : ndarray, shape (3, 3)
        The homography from (column, row) to pixels (x, y); its columns and rows turn the way those
        of the picture do, never mirrored.
    """

    cells: NDArray[np.intp]
    grid: Array


def find_squares(rgb: Bytes) -> Array:
    """Corners, in pixels, of all even patches with four straight sides in a picture.

    Parameters
    ----------
    rgb : ndarray of uint8, shape (h, w, 3)

    Returns
    -------
    ndarray, shape (n, 4, 2)
        The corners of each in order round it.
    """
    from scipy import ndimage

    largest = LARGEST_SHARE * rgb.shape[0] * rgb.shape[1]
    step = _edges(rgb)
    quads: list[Array] = []
    for threshold in _STEPS:
        labels, _ = ndimage.label(step < threshold)
        sizes = np.bincount(labels.ravel())
        sizes[0] = 0
        boxes = ndimage.find_objects(labels)
        for label in np.flatnonzero((sizes >= LEAST_SIDE**2) & (sizes <= largest)):
            box = boxes[label - 1]
            high, wide = box[0].stop - box[0].start, box[1].stop - box[1].start
            if max(high, wide) > LONGEST_SIDES * min(high, wide):
                continue
            if sizes[label] < 0.4 * high * wide:  # a square on its corner fills half its box
                continue
            quad = _quad(labels[box] == label, int(sizes[label]))
            if quad is not None:
                quads.append(_with_rim(quad) + np.array([box[1].start, box[0].start]))
    quads.sort(key=lambda quad: -_area(quad))
    return _apart(np.array(quads[:_MOST_QUADS]).reshape(-1, 4, 2))


def middles(quads: Array) -> Array:
    """The middles of squares, shape (n, 4, 2), also in perspective: where the diagonals cross."""
    one, other = quads[:, 2] - quads[:, 0], quads[:, 3] - quads[:, 1]
    between = quads[:, 1] - quads[:, 0]
    along = _cross(between, other) / _cross(one, other)
    crossing: Array = quads[:, 0] + along[:, None] * one
    return crossing


def find_lattices(quads: Array) -> list[Lattice]:
    """The lattices that 8 or more of the squares, shape (n, 4, 2), make; the largest first.

    None of more than 12 columns or rows: that is a tiled wall or squared paper.
    """
    left, found = np.ones(len(quads), dtype=np.bool_), []
    for seed in range(len(quads)):
        if not left[seed]:
            continue
        places = _grow(quads, seed)
        left[list(places)] = False
        if len(places) < LEAST_SQUARES:
            continue
        cells = np.array(list(places.values()))
        narrow, wide = np.sort(np.ptp(cells, axis=0) + 1)
        if narrow > 1 and wide <= LONGEST_ROW:
            centres = middles(quads[list(places)])
            found.append(_fitted(cells, centres))
    return sorted(found, key=lambda lattice: -len(lattice.cells))


def homography(from_points: Array, to_points: Array) -> Array:
    """The homography that takes points nearest to others.

    Parameters
    ----------
    from_points, to_points : ndarray, shape (n, 2), n of 4 or more

    Returns
    -------
    ndarray, shape (3, 3)

    References
    ----------
    Hartley and Zisserman (2004), Multiple View Geometry, 4.4.4, the direct linear transformation
    in normalised coordinates.
    """
    one, other = _normalising(from_points), _normalising(to_points)
    x, y = project(one, from_points).T
    u, v = project(other, to_points).T
    zero, unit = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate(
        [
            np.stack([x, y, unit, zero, zero, zero, -u * x, -u * y, -u], axis=-1),
            np.stack([zero, zero, zero, x, y, unit, -v * x, -v * y, -v], axis=-1),
        ]
    )
    solved = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(other) @ solved @ one
    scaled: Array = matrix / matrix[2, 2]
    return scaled


def project(matrix: Array, points: Array) -> Array:
    """Points of shape (..., 2) through a 3 × 3 homography."""
    seen = points @ matrix[:, :2].T + matrix[:, 2]
    projected: Array = seen[..., :2] / seen[..., 2:]
    return projected


def _normalising(points: Array) -> Array:
    middle = points.mean(axis=0)
    scale = np.sqrt(2) / max(float(np.hypot(*(points - middle).T).mean()), 1e-12)
    return np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])


def _edges(rgb: Bytes) -> Bytes:
    """The largest difference, over channels, between the neighbours on either side of a pixel."""
    step = np.full(rgb.shape[:2], 255, dtype=np.uint8)
    inner = step[1:-1, 1:-1]
    inner[:] = _apart_by(rgb[1:-1, 2:], rgb[1:-1, :-2])
    np.maximum(inner, _apart_by(rgb[2:, 1:-1], rgb[:-2, 1:-1]), out=inner)
    return step


def _apart_by(one: Bytes, other: Bytes) -> Bytes:
    apart = np.maximum(one, other) - np.minimum(one, other)
    largest: Bytes = np.maximum(np.maximum(apart[..., 0], apart[..., 1]), apart[..., 2])
    return largest


def _quad(mask: NDArray[np.bool_], size: int) -> Array | None:
    """The four corners of a blob if it has four straight sides, none much longer than another."""
    rows = np.flatnonzero(mask.any(axis=1))
    first = mask[rows].argmax(axis=1)
    last = mask.shape[1] - 1 - mask[rows, ::-1].argmax(axis=1)
    rim = np.stack([np.concatenate([first, last]), np.concatenate([rows, rows])], axis=-1)
    rim = rim.astype(np.float64)
    # The longest chord of a parallelogram is a diagonal; the other two corners lie furthest off.
    lengths = ((rim[:, None] - rim[None, :]) ** 2).sum(axis=-1)
    one, other = np.unravel_index(np.argmax(lengths), lengths.shape)
    chord = rim[other] - rim[one]
    off = (rim - rim[one]) @ np.array([-chord[1], chord[0]])
    quad = np.array([rim[one], rim[off.argmin()], rim[other], rim[off.argmax()]])
    sides = np.hypot(*(quad[[1, 2, 3, 0]] - quad).T)
    if sides.max() > LONGEST_SIDES * sides.min():
        return None
    # The corners are middles of pixels, so that the outline runs half a pixel further out.
    outline = _area(quad) + sides.sum() / 2 + 1
    return quad if 0.85 <= size / outline <= 1.1 else None


def _cross(one: Array, other: Array) -> Array:
    crossed: Array = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return crossed


def _with_rim(quad: Array) -> Array:
    side = np.sqrt(_area(quad))
    middle = quad.mean(axis=0)
    grown: Array = middle + (quad - middle) * (1 + 2 * RIM / side)
    return grown


def _area(quad: Array) -> float:
    (one_x, one_y), (other_x, other_y) = (quad[2:] - quad[:2]).tolist()  # the diagonals
    return float(abs(one_x * other_y - one_y * other_x) / 2)


def _apart(quads: Array) -> Array:
    """Without those whose middle lies inside a larger one, as found at another threshold."""
    centres = middles(quads)
    kept: list[int] = []
    for index, quad in enumerate(quads):
        off = np.abs(centres[kept] - centres[index]).max(axis=1)
        if (off > np.sqrt(_area(quad)) / 2).all():
            kept.append(index)
    return quads[kept]


def _grow(quads: Array, seed: int) -> dict[int, tuple[int, int]]:
    """The squares that lie in rows and columns with one of them: which, and at which place."""
    centres = middles(quads)
    across, down = _sides(quads)
    if across[seed] @ [-down[seed][1], down[seed][0]] > 0:  # keep the picture's own sense of turn
        across[seed], down[seed] = down[seed].copy(), across[seed].copy()
    places, queue, taken = {seed: (0, 0)}, [seed], {(0, 0)}
    while queue:
        here = queue.pop(0)
        basis = np.stack([across[here], down[here]], axis=-1)
        steps = (centres - centres[here]) @ np.linalg.inv(basis).T
        for way in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            place = (places[here][0] + way[0], places[here][1] + way[1])
            along = steps @ way
            aside = np.abs(steps @ (way[1], way[0]))
            near = np.flatnonzero((along > 0.95) & (along < 1.6) & (aside < 0.3))
            near = near[[_alike(basis, across[i], down[i]) for i in near]] if near.size else near
            if place in taken or not near.size:
                continue
            there = int(near[np.argmin(along[near] + aside[near])])
            if there in places:
                continue
            across[there], down[there] = _turned_like(basis, across[there], down[there])
            places[there] = place
            taken.add(place)
            queue.append(there)
    return places


def _sides(quads: Array) -> tuple[Array, Array]:
    """Mean of opposite sides as vectors, shape (n, 2) each."""
    one = (quads[:, 1] - quads[:, 0] + quads[:, 2] - quads[:, 3]) / 2
    other = (quads[:, 3] - quads[:, 0] + quads[:, 2] - quads[:, 1]) / 2
    return one, other


def _turned_like(basis: Array, one: Array, other: Array) -> tuple[Array, Array]:
    """The two sides of a square, named and pointed as those of its neighbour are."""
    sides = np.stack([one, other])
    along = sides @ basis / np.linalg.norm(basis, axis=0)
    first = int(abs(along[1, 0]) > abs(along[0, 0]))
    across, down = sides[first], sides[1 - first]
    return across * np.sign(along[first, 0] or 1), down * np.sign(along[1 - first, 1] or 1)


def _alike(basis: Array, one: Array, other: Array) -> bool:
    """Whether a square has sides about as long and as slanting as its neighbour's."""
    across, down = _turned_like(basis, one, other)
    off = np.linalg.norm(np.stack([across, down], axis=-1) - basis, axis=0)
    return bool((off < 0.4 * np.linalg.norm(basis, axis=0)).all())


def _fitted(cells: NDArray[np.intp], centres: Array) -> Lattice:
    """Fit the perspective; squares that are off by a third of a step do not belong."""
    grid = homography(cells.astype(np.float64), centres)
    step = np.median(np.hypot(*(project(grid, cells + np.array([0.0, 1.0])) - centres).T))
    belongs = np.hypot(*(project(grid, cells.astype(np.float64)) - centres).T) < step / 3
    if LEAST_SQUARES <= np.count_nonzero(belongs) < len(cells):
        cells, centres = cells[belongs], centres[belongs]
        grid = homography(cells.astype(np.float64), centres)
    return Lattice(cells, grid)
