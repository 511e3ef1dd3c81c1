"""The earth mover's distance between two sets of colours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, as_colours, as_numbers
from brief.errors import ColourInputError

FINE = 1e6  # solved in millionths: the solver's tolerance of 1e-7 is not relative


@dataclass(frozen=True)
class Transport:
    """How one set of n colours is moved onto another of m with the least total distance.

    Attributes
    ----------
    distance : float
        CIEDE2000, the mean over everything moved.
    flow : ndarray, shape (n, m)
        Which share of the whole goes from each colour of the first to each of the second; sums to
        1.
    apart : ndarray, shape (n, m)
        CIEDE2000 between the two.
    """

    distance: float
    flow: Array
    apart: Array


def earth_movers(
    labs_1: ArrayLike, weights_1: ArrayLike, labs_2: ArrayLike, weights_2: ArrayLike
) -> Transport:
    """Move the first colours onto the second, exactly.

    Parameters
    ----------
    labs_1, labs_2 : array_like, shape (n, 3) and (m, 3)
        CIELAB, D65 / 2°.
    weights_1, weights_2 : array_like, shape (n,) and (m,), 0 or more, not all 0
        How much there is of each, made to sum to 1.

    Returns
    -------
    Transport

    Raises
    ------
    ColourInputError
        For another shape or a number that is not finite or below 0.

    References
    ----------
    Rubner, Tomasi and Guibas (2000), The earth mover's distance as a metric for image retrieval,
    Int. J. Computer Vision 40(2), 99-121; here with CIEDE2000 between colours.

    Examples
    --------
    >>> round(earth_movers([[50, 0, 0]], [1], [[60, 0, 0], [50, 0, 0]], [1, 1]).distance, 3)
    4.735
    """
    from scipy.optimize import linprog
    from scipy.sparse import eye_array, kron, vstack

    one, two = _colours(labs_1, "labs_1"), _colours(labs_2, "labs_2")
    supply, demand = (
        _shares(weights_1, len(one), "weights_1"),
        _shares(weights_2, len(two), "weights_2"),
    )
    apart = delta_e_2000(one[:, np.newaxis], two[np.newaxis, :])
    n, m = apart.shape
    # Each row of the flow sums to the supply, each column to the demand.
    rows = kron(eye_array(n), np.ones((1, m)))
    columns = kron(np.ones((1, n)), eye_array(m))
    solved = linprog(
        apart.ravel(),
        # The last row follows from the others, and rounding could set it against them.
        A_eq=vstack([rows, columns]).tocsr()[:-1],
        b_eq=np.concatenate([supply, demand])[:-1] * FINE,
        method="highs",
    )
    if not solved.success:
        raise ColourInputError(f"the colours could not be moved: {solved.message}")
    flow: Array = np.maximum(solved.x.reshape(n, m), 0.0) / FINE
    return Transport(float((flow * apart).sum()), flow, apart)


def _colours(labs: ArrayLike, name: str) -> Array:
    colours = as_colours(labs, name)
    if colours.ndim != 2 or not len(colours):
        raise ColourInputError(f"{name} must have shape (n, 3), n at least 1; got {colours.shape}")
    return colours


def _shares(weights: ArrayLike, count: int, name: str) -> Array:
    given = as_numbers(weights, name)
    fine = given.shape == (count,) and np.isfinite(given).all() and (given >= 0).all()
    if not fine or given.sum() <= 0:
        raise ColourInputError(f"{name} must be {count} numbers of 0 or more, not all 0")
    shares: Array = given / given.sum()
    return shares
