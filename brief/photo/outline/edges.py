"""From spots to lines: the level that parts a picture, the lines along a level, their main points.

Places are (x, y) with the middle of the first spot at (0, 0).
"""

from __future__ import annotations

import numpy as np

from brief.photo.lightness import Floats, Mask


def parting_level(values: Floats) -> float:
    """The level that best parts values in two, which differ most between and least among them.

    Parameters
    ----------
    values : ndarray, any shape
        Finite.

    Returns
    -------
    float
        The middle of one of 256 equal steps; what is above it is the one side. The greatest value
        where they are the same but for rounding.

    References
    ----------
    Otsu (1979), A threshold selection method from gray-level histograms; from memory.
    """
    least, most = float(values.min()), float(values.max())
    if most - least <= 1e-12 * max(abs(least), abs(most)):  # rounding alone parts them
        return most
    count, ends = np.histogram(values, bins=256)
    middle = (ends[1:] + ends[:-1]) / 2
    below, sum_below = np.cumsum(count), np.cumsum(count * middle)
    above, sum_above = below[-1] - below[:-1], sum_below[-1] - sum_below[:-1]
    below, sum_below = below[:-1], sum_below[:-1]
    between = below * above * (sum_below / below - sum_above / above) ** 2
    return float(middle[between.argmax()])


def level_runs(values: Floats, level: float) -> list[Floats]:
    """The lines along which values that are interpolated between spots have a level.

    Parameters
    ----------
    values : ndarray, shape (h, w)
    level : float

    Returns
    -------
    list of ndarray, shape (n, 2)
        One that closes ends where it begins; others end at the rim.
    """
    from contourpy import contour_generator

    drawn = contour_generator(z=values, name="serial", line_type="Separate").lines(level)
    return [np.asarray(run) for run in drawn]


def fewer_points(ring: Floats, tolerance: float) -> Floats:
    """Those points of a closed outline that it needs to pass within a distance of all the others.

    Parameters
    ----------
    ring : ndarray, shape (n, 2)
        The last point is not the first again.
    tolerance : float
        In the units of the points.

    Returns
    -------
    ndarray, shape (m, 2)
        The same way round, begun at the point farthest from the middle.

    References
    ----------
    Douglas and Peucker (1973), as GEOS has it.
    """
    from shapely import LineString

    # Where the line begins a point stays: so at what is surely a corner, not amid a side.
    begin = int(np.hypot(*(ring - ring.mean(axis=0)).T).argmax())
    line = np.roll(ring, -begin, axis=0)
    line = np.concatenate([line, line[:1]])
    kept: Floats = np.array(LineString(line).simplify(tolerance, preserve_topology=False).coords)
    return kept[:-1]


def row_ends(inside: Mask) -> Floats:
    """The first and the last spot of every row that has any: all that a convex hull may touch.

    Returns
    -------
    ndarray, shape (2 · rows, 2)
    """
    rows = np.flatnonzero(inside.any(axis=1))
    left = inside[rows].argmax(axis=1)
    right = inside.shape[1] - 1 - inside[rows, ::-1].argmax(axis=1)
    return np.concatenate([np.column_stack([side, rows]) for side in (left, right)]).astype(float)
