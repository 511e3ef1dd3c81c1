"""What of each small square a design covers, for whoever judges it as the eye has it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brief.instrument.inlay.polygons import Shapes, runs_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Cover = NDArray[np.float64]

MOST_MM = 60.0  # across and down: more is not taken in at one look from the bench
FINER = 8  # times as fine it is drawn as it is kept
COARSE_MM = 1.0


def cover_of(shape: Shapes, px_per_mm: int) -> tuple[Cover, float]:
    """How much of each pixel a shape covers, and the length of its edges, mm.

    Parameters
    ----------
    shape : MultiPolygon
        In millimetres. Of one larger than 60 mm, the 60 mm square with most of it.
    px_per_mm : int

    Returns
    -------
    cover : ndarray, shape (h, w)
        0 to 1.
    edge_mm : float
    """
    import shapely

    left, top, right, bottom = shape.bounds
    edge_mm = shape.length
    if max(right - left, bottom - top) > MOST_MM:
        x, y = _fullest(shape)
        part = shapely.clip_by_rect(shape, x, y, x + MOST_MM, y + MOST_MM)
        edge_mm *= part.area / shape.area  # not along the sides of the square
        shape = part
    fine = _drawn(shape, px_per_mm * FINER)
    high, wide = (side // FINER for side in fine.shape)
    return fine.reshape(high, FINER, wide, FINER).mean(axis=(1, 3)), edge_mm


def _fullest(shape: Shapes) -> tuple[float, float]:
    """Left and top of the square of MOST_MM that most of a shape lies in."""
    import numpy as np

    coarse = _drawn(shape, 1 / COARSE_MM)
    sums = np.pad(coarse.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    side = round(MOST_MM / COARSE_MM)
    down, across = (min(side, have) for have in coarse.shape)
    inside = sums[down:, across:] - sums[:-down, across:] - sums[down:, :-across]
    inside = inside + sums[:-down, :-across]
    y, x = np.unravel_index(int(inside.argmax()), inside.shape)
    left, top, _, _ = shape.bounds
    return left + float(x) * COARSE_MM, top + float(y) * COARSE_MM


def _drawn(shape: Shapes, px_per_mm: float) -> Cover:
    """1 within a shape and 0 outside, its sides whole multiples of FINER."""
    import numpy as np
    from PIL import Image, ImageDraw

    left, top, right, bottom = shape.bounds
    wide, high = (
        FINER * max(1, int(np.ceil(side * px_per_mm / FINER)))
        for side in (right - left, bottom - top)
    )
    # Odd is in, as the design is kept: each ring turns what it encloses over.
    inside = np.zeros((high, wide), dtype=bool)
    for run in runs_of(shape):
        ring = Image.new("1", (wide, high))
        places = [((x - left) * px_per_mm - 0.5, (y - top) * px_per_mm - 0.5) for x, y in run]
        ImageDraw.Draw(ring).polygon(places, fill=1)
        inside ^= np.asarray(ring)
    return inside.astype(np.float64)
