"""A matrix for a light, fitted to surfaces of which the spectra are known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import SRGB_TO_XYZ, Array, xyz_to_lab

# A basis of what is at right angles to white, (1, 1, 1) in linear sRGB: what is fitted along it
# cannot move white.
_BESIDE_WHITE = np.array([[1, -1, 0], [1, 1, -2]]).T / np.sqrt([2, 6])
DARKEST = 0.01  # of white: what is darker weighs no more


def white_held_fit(pairs: Sequence[tuple[Array, Array]], *, exponent: float, ridge: float) -> Array:
    """The matrix that takes each set of colours to what it becomes, white to white.

    Parameters
    ----------
    pairs : sequence of (ndarray, ndarray), each of shape (n, 3)
        Sets of surfaces as linear sRGB before and after; every set counts the same, whatever its
        size.
    exponent : float
        A surface weighs 1 / Y ** exponent, as an error of the same size is seen more in the dark.
    ridge : float
        How strongly the matrix is drawn to the identity, as a share of the mean square of the
        weighted colours' entries at 1.

    Returns
    -------
    ndarray, shape (3, 3)

    References
    ----------
    Least squares with an equality constraint (Finlayson and Drew 1997, white-point preserving),
    here solved on the plane beside white, with a ridge.
    """
    before = np.vstack([one * _weights(one, exponent) for one, _ in pairs])
    change = np.vstack([(after - one) * _weights(one, exponent) for one, after in pairs])
    along = before @ _BESIDE_WHITE
    normal = along.T @ along + ridge * np.eye(2)
    matrix: Array = np.eye(3) + (_BESIDE_WHITE @ np.linalg.solve(normal, along.T @ change)).T
    return matrix


def left_out_errors(
    pairs: Mapping[str, tuple[Array, Array]], *, exponent: float, ridge: float
) -> dict[str, Array]:
    """For each set, CIEDE2000 of its surfaces by the fit to the other sets.

    Parameters
    ----------
    pairs : mapping of str to (ndarray, ndarray), each of shape (n, 3)
    exponent, ridge : float
        As `white_held_fit`.

    Returns
    -------
    dict of str to ndarray, shape (n,)
    """
    return {
        left_out: errors(
            white_held_fit(
                [one for name, one in pairs.items() if name != left_out],
                exponent=exponent,
                ridge=ridge,
            ),
            *pairs[left_out],
        )
        for left_out in pairs
    }


def errors(matrix: Array, before: Array, after: Array) -> Array:
    """CIEDE2000 between where the matrix puts colours and where they are, shape (n,).

    `before` and `after` are linear sRGB, shape (n, 3), the matrix 3 x 3.
    """
    return delta_e_2000(linear_to_lab(before @ matrix.T), linear_to_lab(after))


def linear_to_lab(linear: Array) -> Array:
    """Linear sRGB, shape (n, 3), to CIELAB, D65 / 2°."""
    return xyz_to_lab(linear @ SRGB_TO_XYZ.T)


def _weights(linear: Array, exponent: float) -> Array:
    """Shape (n, 1); their squares sum to one."""
    weight = np.maximum(linear @ SRGB_TO_XYZ[1], DARKEST) ** -exponent
    scaled: Array = weight[:, np.newaxis] / np.sqrt((weight**2).sum())
    return scaled
