"""Light and dark of a picture: pixels as an array, and their lightness."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.colour import linear_to_srgb, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import LAB_EPSILON, LAB_KAPPA, SRGB_TO_XYZ
from brief.errors import ImageError

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Srgb = NDArray[np.uint8]

LEAST_UNCLIPPED = 1 / 20
_LEVELS = np.repeat(np.arange(256.0)[:, None] / 255, 3, axis=1)
LINEAR = srgb_to_linear(_LEVELS)[:, 0]  # light of each of the 256 levels, 0 to 1
_STEPS = 2**16 - 1  # of light; the darkest levels are 20 apart


def as_srgb(picture: Image.Image | Srgb) -> Srgb:
    """The pixels of an upright sRGB picture, as `open_photo` gives it.

    Returns
    -------
    ndarray of uint8, shape (h, w, 3)

    Raises
    ------
    ImageError
        If it is neither a picture of mode RGB nor such an array.
    """
    pixels = np.asarray(picture)
    if pixels.dtype != np.uint8 or pixels.ndim != 3 or pixels.shape[2] != 3 or not pixels.size:
        raise ImageError(
            "pixels must be 8-bit sRGB, height by width by 3 channels; "
            f"got {pixels.dtype} of shape {pixels.shape}"
        )
    return pixels


def lightness(srgb: Srgb) -> Floats:
    """L of CIELAB, D65 / 2°, 0 to 100, of 8-bit pixels.

    Parameters
    ----------
    srgb : ndarray of uint8, shape (..., 3)

    Returns
    -------
    ndarray, shape (...)
        By table, in a tenth of the time of the full conversion.

    References
    ----------
    CIE 15:2004, 8.2.1.
    """
    red, green, blue = (LINEAR * weight for weight in SRGB_TO_XYZ[1])
    y = red[srgb[..., 0]] + green[srgb[..., 1]] + blue[srgb[..., 2]]
    f = np.where(y > LAB_EPSILON, np.cbrt(y), (LAB_KAPPA * y + 16) / 116)
    light: Floats = 116 * f - 16
    return light


def levels_of(linear: NDArray[np.floating]) -> Srgb:
    """The 8-bit sRGB of linear light; the way back from `LINEAR`.

    Parameters
    ----------
    linear : ndarray, shape (...)
        Finite; what is beyond 0 and 1 is clipped.

    Returns
    -------
    ndarray of uint8, shape (...)
        By table, in a sixth of the time of the curve itself. Light within 0.03 of a level of the
        middle between two may come out as the other of them.

    References
    ----------
    IEC 61966-2-1.
    """
    levels: Srgb = _encoded().take((np.clip(linear, 0, 1) * _STEPS + 0.5).astype(np.uint16))
    return levels


@cache
def _encoded() -> Srgb:
    """The level of each step of light."""
    light = np.repeat(np.linspace(0, 1, _STEPS + 1)[:, None], 3, axis=1)
    return np.rint(linear_to_srgb(light)[:, 0] * 255).astype(np.uint8)


def lab_of(srgb: Srgb) -> Floats:
    """CIELAB, D65 / 2°, of 8-bit pixels, shape (..., 3); `srgb_to_lab` with the curve by table."""
    return xyz_to_lab(LINEAR[srgb] @ SRGB_TO_XYZ.T)


def unclipped(srgb: Srgb, visible: Mask | None = None) -> Mask:
    """The part of a picture that carries a colour: visible, and neither blown out nor crushed.

    A pixel at 0, or at 255, in all three channels says only that the light was too little or too
    much. Where fewer than 1 in 20 would be left, black and white are evidently what the picture
    shows (a drawing, a page, a wall) and they count.

    Parameters
    ----------
    srgb : ndarray of uint8, shape (h, w, 3)
    visible : ndarray of bool, shape (h, w), optional
        Where to look; all of the picture without it.

    Returns
    -------
    ndarray of bool, shape (h, w)

    Raises
    ------
    ImageError
        As `fits`.
    """
    visible = fits(visible, srgb)
    red, green, blue = srgb[..., 0], srgb[..., 1], srgb[..., 2]
    carrying = visible & ((red | green | blue) > 0) & ((red & green & blue) < 255)
    enough = np.count_nonzero(carrying) >= LEAST_UNCLIPPED * np.count_nonzero(visible)
    return carrying if enough else visible


def fits(mask: Mask | None, srgb: Srgb) -> Mask:
    """The mask, or all True where there is none.

    Raises
    ------
    ImageError
        If its shape is not the picture's, it is not of booleans, or it leaves no pixel.
    """
    if mask is None:
        return np.ones(srgb.shape[:2], dtype=np.bool_)
    if mask.shape != srgb.shape[:2] or mask.dtype != np.bool_:
        raise ImageError(
            f"a mask must be true or false for each of the picture's {srgb.shape[1]} by "
            f"{srgb.shape[0]} pixels; got {mask.dtype} of shape {mask.shape}"
        )
    if not mask.any():
        raise ImageError("there is nothing to look at: the mask leaves no pixel; select more")
    return mask
