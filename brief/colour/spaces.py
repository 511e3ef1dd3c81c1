"""Colour spaces as arrays: sRGB, linear RGB, XYZ, CIELAB and LCh, all D65, 2° observer.

Every function takes arrays of shape (..., 3), keeps the leading axes, and works in float64.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.errors import ColourInputError, quoted

Array = NDArray[np.float64]

LARGEST = 1e6  # far beyond any colour, far below where a seventh power overflows
LAB_EPSILON = 216 / 24389  # (6/29)³, CIE 15
LAB_KAPPA = 24389 / 27  # (29/3)³, CIE 15

# IEC 61966-2-1, amendment 1: the matrix to the digits the standard prints, and its white.
SRGB_TO_XYZ = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)
XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)
# White is what the matrix makes of (1, 1, 1), so that every grey has a = b = 0, but for rounding.
D65_WHITE = SRGB_TO_XYZ.sum(axis=1)


def as_numbers(values: ArrayLike, name: str) -> Array:
    """`values` as float64, whatever their shape.

    Raises
    ------
    ColourInputError
        If they are not numbers; the message begins with `name`.
    """
    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as exc:
        raise ColourInputError(f"{name} must be numbers; got {quoted(values)}") from exc


def as_colours(values: ArrayLike, name: str = "colour") -> Array:
    """`values` as float64 of shape (..., 3).

    Raises
    ------
    ColourInputError
        If the last axis is not 3 long, or a value is not finite or beyond ±1,000,000.
    """
    array = as_numbers(values, name)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ColourInputError(f"{name} must have 3 numbers on its last axis; got {array.shape}")
    usable = np.abs(array) <= LARGEST  # False for NaN, too
    if not usable.all():
        raise ColourInputError(
            f"{name} must be finite numbers within ±{LARGEST:,.0f}; got {array[~usable][0]}"
        )
    return array


def as_one_colour(values: ArrayLike, name: str = "colour") -> Array:
    """`values` as float64 of shape (3,).

    Raises
    ------
    ColourInputError
        As `as_colours`, and for any other shape.
    """
    colour = as_colours(values, name)
    if colour.shape != (3,):
        raise ColourInputError(f"{name} must be one colour of 3 numbers; got shape {colour.shape}")
    return colour


def as_pair(lab_1: ArrayLike, lab_2: ArrayLike) -> tuple[Array, Array, tuple[int, ...]]:
    """Both as float64, not yet broadcast, and the leading axes that they broadcast to.

    Raises
    ------
    ColourInputError
        As `as_colours`, and if the shapes do not broadcast.
    """
    one, two = as_colours(lab_1, "lab_1"), as_colours(lab_2, "lab_2")
    try:
        return one, two, np.broadcast_shapes(one.shape, two.shape)[:-1]
    except ValueError as exc:
        raise ColourInputError(
            f"lab_1 and lab_2 must have shapes that go together; got {one.shape} and {two.shape}"
        ) from exc


def _as_white(white: ArrayLike) -> Array:
    array = as_colours(white, "white")
    if not (array > 0).all():
        raise ColourInputError(f"white must be above 0 in X, Y and Z; got {array.tolist()}")
    return array


def srgb_to_linear(srgb: ArrayLike) -> Array:
    """Undo the sRGB transfer curve.

    Parameters
    ----------
    srgb : array_like, shape (..., 3), 0 to 1

    Returns
    -------
    ndarray, shape (..., 3)
        Linear RGB, 0 to 1.

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.

    References
    ----------
    IEC 61966-2-1.
    """
    encoded = as_colours(srgb, "srgb")
    curved: Array = np.maximum((encoded + 0.055) / 1.055, 0) ** 2.4
    linear: Array = np.where(encoded <= 0.04045, encoded / 12.92, curved)
    return linear


def linear_to_srgb(linear: ArrayLike) -> Array:
    """Apply the sRGB transfer curve; the inverse of `srgb_to_linear`.

    Parameters
    ----------
    linear : array_like, shape (..., 3)

    Returns
    -------
    ndarray, shape (..., 3)
        sRGB, not clipped.

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.

    References
    ----------
    IEC 61966-2-1.
    """
    light = as_colours(linear, "linear RGB")
    curved: Array = 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, 12.92 * light, curved)


def srgb_to_xyz(srgb: ArrayLike) -> Array:
    """sRGB (0 to 1) to XYZ, D65, with Y of white = 1; errors and source as `srgb_to_linear`."""
    xyz: Array = srgb_to_linear(srgb) @ SRGB_TO_XYZ.T
    return xyz


def xyz_to_srgb(xyz: ArrayLike) -> Array:
    """XYZ, D65 (Y of white = 1), to sRGB, not clipped; errors and source as `linear_to_srgb`."""
    return linear_to_srgb(as_colours(xyz, "XYZ") @ XYZ_TO_SRGB.T)


def xyz_to_lab(xyz: ArrayLike, white: ArrayLike = D65_WHITE) -> Array:
    """XYZ to CIELAB.

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
        With Y of white = 1.
    white : array_like, shape (3,), above 0
        XYZ of the white.

    Returns
    -------
    ndarray, shape (..., 3)
        L in [0, 100] for colours up to the white; a and b unbounded.

    Raises
    ------
    ColourInputError
        If a shape is wrong, a value is not finite or the white is not above 0.

    References
    ----------
    CIE 15:2004, 8.2.1.
    """
    ratio = as_colours(xyz, "XYZ") / _as_white(white)
    f = np.where(ratio > LAB_EPSILON, np.cbrt(ratio), (LAB_KAPPA * ratio + 16) / 116)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])],
        axis=-1,
    )


def lab_to_xyz(lab: ArrayLike, white: ArrayLike = D65_WHITE) -> Array:
    """CIELAB to XYZ; the inverse of `xyz_to_lab`, with the same errors.

    References
    ----------
    CIE 15:2004, 8.2.1 and annex D.
    """
    colours = as_colours(lab, "Lab")
    f_y = (colours[..., 0] + 16) / 116
    f = np.stack([f_y + colours[..., 1] / 500, f_y, f_y - colours[..., 2] / 200], axis=-1)
    ratio = np.where(f**3 > LAB_EPSILON, f**3, (116 * f - 16) / LAB_KAPPA)
    return ratio * _as_white(white)


def srgb_to_lab(srgb: ArrayLike) -> Array:
    """sRGB (0 to 1) to CIELAB, D65 / 2°, L in [0, 100]; errors and source as its two steps."""
    return xyz_to_lab(srgb_to_xyz(srgb))


def lab_to_srgb(lab: ArrayLike) -> Array:
    """CIELAB, D65 / 2°, to sRGB clipped to 0 to 1: what a screen can show of it."""
    return np.clip(xyz_to_srgb(lab_to_xyz(lab)), 0.0, 1.0)


def lab_to_lch(lab: ArrayLike) -> Array:
    """CIELAB to (L, C, h), h in degrees from 0 to below 360, and 0 where there is no chroma.

    Raises
    ------
    ColourInputError
        If the last axis is not 3 long or a value is not finite.
    """
    colours = as_colours(lab, "Lab")
    a, b = colours[..., 1], colours[..., 2]
    chroma = np.hypot(a, b)
    hue_deg = np.degrees(np.arctan2(b, a)) % 360
    # A red a hair below 0° comes out of the remainder as 360; a grey of a = -0 as 180.
    hue_deg = np.where((chroma > 0) & (hue_deg < 360), hue_deg, 0.0)
    return np.stack([colours[..., 0], chroma, hue_deg], axis=-1)


def lch_to_lab(lch: ArrayLike) -> Array:
    """(L, C, h in degrees) to CIELAB; errors as `lab_to_lch`."""
    colours = as_colours(lch, "LCh")
    hue = np.radians(colours[..., 2])
    return np.stack(
        [colours[..., 0], colours[..., 1] * np.cos(hue), colours[..., 1] * np.sin(hue)], axis=-1
    )


def lab_through(lab: ArrayLike, matrix: ArrayLike) -> Array:
    """Colours with a matrix applied to their linear sRGB, which is not clipped.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    matrix : array_like, shape (3, 3)
        The identity returns the colours to the last bit.

    Returns
    -------
    ndarray, shape (..., 3)
        CIELAB, D65 / 2°.

    Raises
    ------
    ColourInputError
        If the shape of `lab` is wrong or a value is not finite.
    """
    weights = np.asarray(matrix, dtype=np.float64)
    if np.array_equal(weights, np.eye(3)):
        return as_colours(lab, "Lab")  # to the last bit
    mixed: Array = SRGB_TO_XYZ @ weights @ XYZ_TO_SRGB
    return xyz_to_lab(lab_to_xyz(lab) @ mixed.T)
