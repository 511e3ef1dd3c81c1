"""The ways a colour chart may lie in a picture, and the one in which its colours fit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFilter

from brief.colour import srgb_to_linear
from brief.colour.spaces import Array
from brief.photo.correction.chart_reference import OUTLINE, PATCHES, PLACES, SLOPE, reference_xyz
from brief.photo.correction.fit import fit_error
from brief.photo.correction.lattice import LEAST_SQUARES, Lattice, homography, project
from brief.photo.correction.tone import KNOWN_BY, Curve, straightened

FITS = 10.0  # CIEDE2000, median of the patches; in real photographs under 7, wrongly laid over 17
LEAST_IN_SIGHT = PATCHES // 2  # a chart that is cut off is still known for one by half of it
_BLUR = 0.2  # of the pitch
_HOPEFUL = 4  # ways that are looked at more closely
_SNAP = 0.45  # of the pitch; squares further off may be the neighbours


@dataclass(frozen=True)
class ChartOrientation:
    """One way in which a chart may be placed in a picture.

    Attributes
    ----------
    grid : ndarray, shape (3, 3)
        The homography from column and row on the chart to pixels (x, y).
    mirrored : bool
        Seen as in a looking glass.
    misfit : float
        CIEDE2000, median of the patches.
    """

    grid: Array
    mirrored: bool
    misfit: float = np.inf

    @property
    def pitch(self) -> float:
        """Pixels from patch to patch at the middle, along the shorter of its two ways."""
        middle = PLACES.mean(axis=0)
        steps = project(self.grid, middle + np.eye(2)) - project(self.grid, middle)
        return float(np.hypot(*steps.T).min())


def laid_over(lattice: Lattice) -> Iterator[ChartOrientation]:
    """All ways to lay a chart over a lattice, so that neither sticks out where the other ends."""
    quarter = np.array([[0, -1], [1, 0]])
    lowest, highest = lattice.cells.min(axis=0), lattice.cells.max(axis=0)
    for turns, mirrored in product(range(4), (False, True)):
        turn = np.linalg.matrix_power(quarter, turns) @ np.diag([-1 if mirrored else 1, 1])
        places = PLACES @ turn.T
        one, other = highest - places.max(axis=0), lowest - places.min(axis=0)
        first, last = np.minimum(one, other).astype(int), np.maximum(one, other).astype(int)
        for across, down in product(*(range(a, b + 1) for a, b in zip(first, last, strict=True))):
            shift = np.eye(3)
            shift[:2, :2], shift[:2, 2] = turn, (across, down)
            yield ChartOrientation(lattice.grid @ shift, mirrored)


def laid_between(quad: Array) -> Iterator[ChartOrientation]:
    """The eight ways to lay a chart between four corners, shape (4, 2), in order round it."""
    for start in range(4):
        for way in (np.roll(quad, -start, axis=0), np.roll(quad, -start, axis=0)[::-1]):
            x, y = way.T
            clockwise = x @ np.roll(y, -1) - y @ np.roll(x, -1) > 0  # y runs downwards
            yield ChartOrientation(homography(OUTLINE, way), not clockwise)


def snapped(laid: ChartOrientation, image: Image.Image, squares: Array) -> ChartOrientation:
    """The same moved onto the squares near its patches, if its colours still fit then.

    Parameters
    ----------
    laid : ChartOrientation
    image : Image
    squares : ndarray, shape (n, 2)
        The middles of the squares found in the picture, pixels.

    Returns
    -------
    ChartOrientation
    """
    places = project(laid.grid, PLACES)
    off = np.hypot(*np.moveaxis(squares[None] - places[:, None], -1, 0))
    near = off.min(axis=1, initial=np.inf) < _SNAP * laid.pitch
    if np.count_nonzero(near) < LEAST_SQUARES:
        return laid
    grid = homography(PLACES[near], squares[off[near].argmin(axis=1)])
    moved = best_laid(image, [ChartOrientation(grid, laid.mirrored)])
    return moved if moved.misfit < FITS else laid


def best_laid(image: Image.Image, ways: Iterable[ChartOrientation]) -> ChartOrientation:
    """The way in which the colours come nearest to those published, by what is in the picture.

    Mirrored ways are tried only where none of the others fits, and a stronger tone curve is undone
    only where none fits with a weaker. There must be one way at least.
    """
    ways = list(ways)
    blurred = np.asarray(image.filter(ImageFilter.BoxBlur(_BLUR * ways[0].pitch)))
    best = []
    for curve, mirrored in product(KNOWN_BY, (False, True)):
        asked = [way for way in ways if way.mirrored is mirrored]
        tried = [_judged(way, blurred, curve, rounds=1) for way in asked]
        hopeful = sorted(tried, key=_misfit)[:_HOPEFUL]
        best += [_judged(way, blurred, curve, rounds=5) for way in hopeful]
        if best and min(map(_misfit, best)) < FITS:
            break
    return min(best, key=_misfit)


def _misfit(laid: ChartOrientation) -> float:
    return laid.misfit


def _judged(
    laid: ChartOrientation, blurred: NDArray[np.uint8], curve: Curve, rounds: int
) -> ChartOrientation:
    # Charts of the other age differ far less from these than patches that are taken for others.
    target = reference_xyz("after-2014")
    seen = project(laid.grid, PLACES)
    inside = ((seen >= 0) & (seen <= np.array(blurred.shape[1::-1]) - 1)).all(axis=1)
    if np.count_nonzero(inside) < LEAST_IN_SIGHT:
        return laid
    x, y = np.rint(seen[inside]).astype(int).T
    linear = straightened(srgb_to_linear(blurred[y, x] / 255), curve)
    errors, _ = fit_error(linear, target[inside], SLOPE[inside], rounds=rounds)
    return replace(laid, misfit=float(np.median(errors)))
