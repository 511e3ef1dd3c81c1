"""Which pixels of a picture carry a colour, and folding them into a few thousand cells."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.colour import srgb_to_lab
from brief.errors import ImageError
from brief.photo.files.header import UNNAMED
from brief.photo.files.intake import Picture, open_pixels
from brief.photo.lightness import unclipped
from brief.photo.outline.area import Area
from brief.photo.outline.region import Region
from brief.photo.wood.glare import without_glare

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Mask = NDArray[np.bool_]
ToLab = Callable[[Floats], Floats]

WORKING_PX = 640  # longest side; smaller, and fine detail blends into colours that are not there
_OPAQUE = 128  # alpha from which a pixel is seen rather than seen through


@dataclass(frozen=True)
class ColouredPixels:
    """The pixels of a picture, at working size, that carry a colour.

    Attributes
    ----------
    srgb : ndarray of uint8, shape (n, 3)
    where : ndarray of bool, shape (height, width)
        True where a pixel counts, in reading order.
    left_out : float
        Share of the picture, 0 to 1, that does not count.
    """

    srgb: NDArray[np.uint8]
    where: Mask
    left_out: float


def seen_pixels(
    source: Picture,
    region: Region | None,
    name: str = UNNAMED,
    *,
    area: Area | None = None,
    glare: bool = True,
) -> ColouredPixels:
    """Decode the picture, or a part of it, small, and leave out pixels that carry no colour.

    These are the ones more than half transparent, and the clipped ones (`unclipped`).

    Parameters
    ----------
    source, name : as for `open_photo`
    region : Region or None
        A rectangle of the picture.
    area : Area, optional
        The part of it that counts, instead of a region.
    glare : bool
        False leaves specular highlights out as well.

    Returns
    -------
    ColouredPixels

    Raises
    ------
    ImageError
        Where all is transparent; and as `open_photo` and, without glare, `without_glare`.
    InputError
        If nothing of the area is left.
    TooLarge
        As `open_photo`.
    """
    if area is not None:
        region = area.bounds
    pixels = open_pixels(source, name=name, within=WORKING_PX, region=region)
    srgb = np.asarray(pixels.rgb)
    height, width = srgb.shape[:2]
    visible = np.ones((height, width), dtype=np.bool_)
    if area is not None and region is not None:
        visible = area.mask_in(region, width, height)
    asked = np.count_nonzero(visible)
    if pixels.alpha is not None:
        visible &= np.asarray(pixels.alpha) >= _OPAQUE
    if not visible.any():
        raise ImageError(
            f"there is nothing to see in {pixels.label}: it is transparent all over; "
            "choose another picture, or another part of it"
        )
    visible = unclipped(srgb, visible)
    if not glare:
        visible = without_glare(srgb, visible)
    left_out = 1 - float(np.count_nonzero(visible) / asked)
    return ColouredPixels(srgb[visible], visible, left_out)


def fold(seen: ColouredPixels, bits: int, to_lab: ToLab = srgb_to_lab) -> tuple[Floats, Ints, Ints]:
    """Gather pixels into a histogram.

    Parameters
    ----------
    seen : ColouredPixels
    bits : int, 1 to 8
        For each channel of sRGB.
    to_lab : callable
        From sRGB of shape (m, 3), 0 to 1, to CIELAB.

    Returns
    -------
    labs : ndarray, shape (m, 3)
        For the m cells that are not empty, the Lab of the mean sRGB of the pixels in each.
    counts : ndarray of int, shape (m,)
        How many they are.
    cells : ndarray of int, shape (n,)
        The cell of each pixel.
    """
    level = (seen.srgb >> (8 - bits)).astype(np.intp)
    key = (level[:, 0] << 2 * bits) | (level[:, 1] << bits) | level[:, 2]
    every_count = np.bincount(key, minlength=1 << 3 * bits)
    used = np.flatnonzero(every_count)
    counts = every_count[used]
    totals = [np.bincount(key, weights=seen.srgb[:, channel])[used] for channel in range(3)]
    place = np.zeros(every_count.size, dtype=np.intp)
    place[used] = np.arange(used.size)
    return to_lab(np.stack(totals, axis=-1) / counts[:, None] / 255), counts, place[key]
