"""Whether a shape, such as a dot or a drawing, can be told from the wood it is in.

The observer is that of a line (`brief.colour.viewing.observer`); its template is the shape
itself, and the waves are those of a plane. What the eye passes of a wave depends on its length
alone, so that all waves of about one length are summed once, for every distance.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.spaces import Array, lab_through, lab_to_xyz
from brief.colour.viewing.colour_vision import IDENTITY, NORMAL, Eyes
from brief.colour.viewing.distance import KERNELS, OPPONENT, arc_minutes, wave_response
from brief.colour.viewing.observer import BESIDE_MM, as_differences, eye_filter
from brief.errors import ColourInputError

# Over how much of a line's length the wood's straying is taken: the strips of a piece, which the
# thresholds were set on.
SUMMED_MM = 15.0
# Over how much of it the eye sums its own noise, minutes of arc. Set by blind looks, see
# tests/colour/test_shape_looks.py, and how many of those that it was not set on agree.
SUMMED_ARC = 80.0
PICTURES, AGREE_FOUND, AGREE_STANDS_OUT = 96, 0.81, 0.87
RINGS = 240  # of waves of about one length
PEAK_FROM_M = (0.5, 2.0, 6.0)  # where a shape is at its clearest may change with the distance


@dataclass(frozen=True)
class ShapePatch:
    """Wood about a shape: CIELAB less the board's own colour, shape (h, w, 3)."""

    lab: Array
    mm_per_px: float

    def __post_init__(self) -> None:
        _must_be_plane(self.lab, 3, self.mm_per_px, "a patch of wood")


@dataclass(frozen=True)
class Shape:
    """What of each small square a shape covers.

    Attributes
    ----------
    cover : ndarray, shape (h, w)
        0 to 1, of something; its middle lies in the middle of the wood.
    mm_per_px : float, above 0
    edge_mm : float, above 0
        The length of all its edges.

    Raises
    ------
    ColourInputError
        If a shape or number is wrong, or it covers nothing.
    """

    cover: Array
    mm_per_px: float
    edge_mm: float

    def __post_init__(self) -> None:
        _must_be_plane(self.cover, 2, self.mm_per_px, "a shape")
        if not 0 < self.edge_mm < np.inf or not self.cover.any():
            raise ColourInputError("a shape must cover something, and have an edge above 0 mm")

    @cached_property
    def length_mm(self) -> float:
        """Of a line with as much edge."""
        return self.edge_mm / 2

    @cached_property
    def area_mm2(self) -> float:
        """What it covers."""
        return float(self.cover.sum()) * self.mm_per_px**2

    def widths_mm(self, distances_m: ArrayLike) -> Array:
        """The width of the line that the eye's own noise troubles as much, from each distance.

        It is of as much stuff, and as long as the shape or as the eye sums, whichever is more.
        """
        return line_width_mm(self.area_mm2, self.length_mm, distances_m)


def line_width_mm(area_mm2: float, length_mm: float, distances_m: ArrayLike) -> Array:
    """As `Shape.widths_mm`, by numbers."""
    width: Array = area_mm2 / np.maximum(length_mm, SUMMED_ARC * _mm_per_degree(distances_m) / 60)
    return width


def shape_response(shape: Shape, distances_m: ArrayLike) -> Array:
    """How much of its difference to the ground each opponent channel keeps where that is most.

    Parameters
    ----------
    shape : Shape
    distances_m : array_like, shape (k,), above 0

    Returns
    -------
    ndarray, shape (k, 3)
        As `line_response`, whose long line it gives in the limit.

    Raises
    ------
    ColourInputError
        As `arc_minutes`.
    """
    from scipy.ndimage import gaussian_filter

    away = np.atleast_1d(np.asarray(distances_m, dtype=np.float64))
    finest = KERNELS[0][0][1] / np.sqrt(2)
    best = np.zeros((away.size, 3))
    for looked_from in PEAK_FROM_M:
        blur = finest * float(_mm_per_degree(looked_from)) / shape.mm_per_px
        seen = gaussian_filter(shape.cover, blur, mode="constant")
        place = np.unravel_index(int(seen.argmax()), seen.shape)
        found = _response_at(shape, (int(place[0]), int(place[1])), away)
        best = np.where(found[:, :1] > best[:, :1], found, best)
    return best


def _response_at(shape: Shape, place: tuple[int, int], away: Array) -> Array:
    """What the eye keeps at one place of the shape, shape (k, 3): the kernels laid over it."""
    from scipy.special import erf

    degrees = arc_minutes(shape.mm_per_px, away)[:, np.newaxis] / 60
    edges = [
        (np.arange(count + 1) - at - 0.5) * degrees
        for count, at in zip(shape.cover.shape, place, strict=True)
    ]
    channels = []
    for kernels in KERNELS:
        whole = sum(weight for weight, _ in kernels)
        kept = np.zeros(away.size)
        for weight, s in kernels:
            down, across = (np.diff(erf(edge / s)) / 2 for edge in edges)
            kept += weight / whole * np.einsum("kh,hw,kw->k", down, shape.cover, across)
        channels.append(kept)
    return np.stack(channels, axis=-1)


def grain_about_shape(
    shape: Shape,
    patch: ShapePatch,
    ground: ArrayLike,
    inlay: ArrayLike,
    distances_m: ArrayLike,
    matrix: ArrayLike = IDENTITY,
    seen_by: Eyes = NORMAL,
) -> Array:
    """How far the bare wood strays under the template of a shape, CIEDE2000.

    Parameters
    ----------
    shape, patch : Shape, ShapePatch
        Of the same mm_per_px.
    ground, inlay : array_like, shape (3,)
        CIELAB in daylight, D65 / 2°; of the board, not of the patch.
    distances_m : array_like, shape (k,), above 0
    matrix, seen_by
        As `grain_about_line`.

    Returns
    -------
    ndarray, shape (k,)
        As `grain_about_line`.

    Raises
    ------
    ColourInputError
        As `arc_minutes`, or if the two are not of one scale.
    """
    if shape.mm_per_px != patch.mm_per_px:
        raise ColourInputError("a shape and its wood must be of one scale")
    away = np.atleast_1d(np.asarray(distances_m, dtype=np.float64))
    weights = _weights(shape, patch)
    lit = lab_to_xyz(lab_through(np.asarray(ground) + patch.lab, matrix)) @ OPPONENT.T
    mean = np.average(lit, axis=(0, 1), weights=weights)
    gap = lab_to_xyz(lab_through(inlay, matrix)) @ OPPONENT.T - mean
    steps = as_differences(mean, seen_by)

    # As much again of nothing is added, or wood and shape would go round.
    sides = zip(patch.lab.shape[:2], shape.cover.shape, strict=True)
    rows, columns = (2 * max(one, other) for one, other in sides)
    waves, f = _waves_of(shape.cover, (rows, columns), shape.mm_per_px)
    near = np.moveaxis((lit - mean) * np.sqrt(weights)[..., np.newaxis], -1, 0)
    wood = np.fft.rfft2(near, s=(rows, columns))
    strength = np.abs(waves) ** 2 * _twice(waves.shape, columns)
    power = np.einsum("chw,dhw->cdhw", wood, np.conj(wood)).real / weights.size
    middles, (signal, *sums) = _rings(f, strength, *(strength * power).reshape(9, *f.shape))
    crossed = np.stack(sums, axis=-1).reshape(-1, 3, 3)

    waves_per_degree = np.outer(_mm_per_degree(away), middles)
    kept, passed = wave_response(waves_per_degree), eye_filter(waves_per_degree) ** 2
    differs = (kept * gap) @ steps.T
    left = kept[..., :, np.newaxis] * kept[..., np.newaxis, :] * crossed
    left = (left.reshape(*left.shape[:2], 9) @ np.kron(steps, steps).T).reshape(left.shape)
    whole = rows * columns
    # As `npwe`, of which each ring is a part.
    given = np.einsum("kn,knc,n->k", passed, differs**2, signal) / whole
    strays = np.einsum("kn,knc,kncd,knd->k", passed**2, differs, left, differs) / whole
    height = np.linalg.norm((shape_response(shape, away) * gap) @ steps.T, axis=-1)
    # All of it was summed; of a line it is no more than this.
    strays = np.sqrt(np.maximum(strays, 0.0) * max(1.0, shape.length_mm / SUMMED_MM))
    found: Array = np.divide(height * strays, given, out=np.zeros_like(given), where=given > 0)
    return found


def beside_shape(shape: Shape, patch: ShapePatch) -> Array:
    """The wood beside a shape, less the board's own colour, CIELAB, shape (3,)."""
    mean: Array = np.average(patch.lab, axis=(0, 1), weights=_weights(shape, patch))
    return mean


def _weights(shape: Shape, patch: ShapePatch) -> Array:
    """How much each place of the wood counts: the nearer to the shape, the more; of mean 1."""
    offs = []
    for count, side in zip(patch.lab.shape[:2], shape.cover.shape, strict=True):
        off = np.abs(np.arange(count) + 0.5 - count / 2) - side / 2
        offs.append(np.maximum(off, 0) * patch.mm_per_px / BESIDE_MM)
    near = np.exp(-(offs[0][:, np.newaxis] ** 2 + offs[1] ** 2) / 2)
    weights: Array = near / near.mean()
    return weights


def _waves_of(
    plane: Array, size: tuple[int, int], mm_per_px: float
) -> tuple[NDArray[np.complexfloating], Array]:
    """The real Fourier transform of a plane, and the waves a millimetre of each place of it."""
    down = np.fft.fftfreq(size[0], mm_per_px)[:, np.newaxis]
    across = np.fft.rfftfreq(size[1], mm_per_px)
    return np.fft.rfft2(plane, s=size), np.hypot(down, across)


def _twice(shape: tuple[int, ...], columns: int) -> Array:
    """How often each column of a real transform counts: its negative waves are left out of it."""
    counted = np.full(shape, 2.0)
    counted[:, 0] = 1.0
    if columns % 2 == 0:
        counted[:, -1] = 1.0
    return counted


def _rings(f: Array, *values: Array) -> tuple[Array, list[Array]]:
    """The mean length of the waves in each ring, and the sum of each of the values there."""
    ring = np.minimum((f / f.max() * RINGS).astype(np.intp), RINGS - 1).ravel()
    count = np.maximum(np.bincount(ring, minlength=RINGS), 1)
    middles: Array = np.bincount(ring, f.ravel(), RINGS) / count
    sums = [np.bincount(ring, one.ravel(), RINGS).astype(np.float64) for one in values]
    return middles, sums


def _mm_per_degree(distances_m: ArrayLike) -> Array:
    degrees: Array = 60.0 / arc_minutes(1.0, distances_m)
    return degrees


def _must_be_plane(values: Array, axes: int, mm_per_px: float, name: str) -> None:
    if values.ndim != axes or not values.size or not np.isfinite(values).all():
        raise ColourInputError(f"{name} must be finite, with {axes} axes; got {values.shape}")
    if not 0 < mm_per_px < np.inf:
        raise ColourInputError(f"mm_per_px must be above 0; got {mm_per_px}")
