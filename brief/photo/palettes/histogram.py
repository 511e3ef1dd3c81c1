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

    srgb : uint8, shape (n, 3).
    where : bool, shape (height, width); True where a pixel counts, in reading order.
    left_out : share of the picture, 0 to 1, that does not count.
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
    """Decode the picture, or a part of it, small, and leave out what carries no colour.

    region : a rectangle of the picture. area : what of it counts, instead of a region. glare :
        False leaves specular highlights out as well.

    That is what is more than half transparent, and what is clipped (`unclipped`).

    Raises as `open_photo`, and ImageError where all is transparent.
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
    """Gather pixels into a histogram of `bits` bits for each channel of sRGB.

    to_lab : how sRGB of shape (m, 3), 0 to 1, becomes Lab.
    Returns, for the m cells that are not empty: the Lab of the mean sRGB of the pixels in each,
    shape (m, 3); how many they are, shape (m,); and the cell of each pixel, shape (n,).
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
