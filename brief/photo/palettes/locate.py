"""Where in a picture a colour is found best."""

from __future__ import annotations

import numpy as np

from brief.photo.palettes.histogram import Floats, Mask

_BLOCKS = 64  # along the longest side; about as fine as a finger on a telephone points


def find_spot(typical: Mask, away: Floats) -> tuple[float, float]:
    """The middle of the largest patch of a colour.

    The patch is the largest square of which at least half is typical, so a lone pixel wins only
    if there is nothing else. Of its middle, the typical pixel nearest to the colour is taken.

    Parameters
    ----------
    typical : ndarray of bool, shape (h, w)
        True for the pixels that look like the colour, at least one.
    away : ndarray, shape (h, w)
        How far each typical pixel is from the colour.

    Returns
    -------
    (float, float)
        Fractions of width and height.
    """
    height, width = typical.shape
    side = -(-max(height, width) // _BLOCKS)
    filled = _block_means(typical, side)
    summed = np.pad(filled, ((1, 0), (1, 0))).cumsum(axis=0).cumsum(axis=1)
    for radius in range(min(filled.shape) // 2, 0, -1):
        share = _window_means(summed, radius)
        if share.max() >= 0.5:
            break
    else:
        share = _window_means(summed, 1)
    # A square may be half full and yet empty in its middle.
    rank = share * filled if (share * filled).any() else filled
    rows, columns = np.nonzero(rank >= rank.max() * (1 - 1e-9))
    central = np.argmin((rows - rows.mean()) ** 2 + (columns - columns.mean()) ** 2)
    top, left = rows[central] * side, columns[central] * side
    block = np.s_[top : top + side, left : left + side]
    candidates = np.argwhere(typical[block])
    off_centre = ((candidates - (side - 1) / 2) ** 2).sum(axis=1)
    nearest = np.lexsort((off_centre, away[block][typical[block]]))[0]
    row, column = candidates[nearest]
    return float((left + column + 0.5) / width), float((top + row + 0.5) / height)


def _block_means(mask: Mask, side: int) -> Floats:
    """Share of True in each block of side × side pixels; beyond the picture counts as False."""
    height, width = mask.shape
    padded = np.pad(mask, ((0, -height % side), (0, -width % side)))
    blocks = padded.reshape(padded.shape[0] // side, side, padded.shape[1] // side, side)
    means: Floats = blocks.mean(axis=(1, 3))
    return means


def _window_means(summed: Floats, radius: int) -> Floats:
    """Mean over the square of 2·radius + 1 about each cell, from the summed-area table."""
    rows, columns = summed.shape[0] - 1, summed.shape[1] - 1
    top = np.maximum(np.arange(rows) - radius, 0)
    bottom = np.minimum(np.arange(rows) + radius + 1, rows)
    left = np.maximum(np.arange(columns) - radius, 0)
    right = np.minimum(np.arange(columns) + radius + 1, columns)
    inside = (
        summed[np.ix_(bottom, right)]
        - summed[np.ix_(top, right)]
        - summed[np.ix_(bottom, left)]
        + summed[np.ix_(top, left)]
    )
    return inside / (2 * radius + 1) ** 2
