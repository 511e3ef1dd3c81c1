"""Which pixels of a picture carry a colour, and folding them into a few thousand cells."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brief.colour import srgb_to_lab
from brief.errors import ImageError
from brief.photo.files import UNNAMED
from brief.photo.glare import without_glare
from brief.photo.intake import Picture, open_pixels
from brief.photo.region import Region
from brief.photo.selection import Selection, bounds_of, combine

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Mask = NDArray[np.bool_]
ToLab = Callable[[Floats], Floats]

WORKING_PX = 640  # longest side; smaller, and fine detail blends into colours that are not there
_OPAQUE = 128  # alpha from which a pixel is seen rather than seen through
_LEAST_UNCLIPPED = 1 / 20


@dataclass(frozen=True)
class Seen:
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
    selections: Sequence[Selection] = (),
    glare: bool = True,
) -> Seen:
    """Decode the picture, or a part of it, small, and leave out what carries no colour.

    region : a rectangle of the picture. selections : parts of it, each counted once; instead of a
        region, where there are any. glare : False leaves specular highlights out as well.

    That is what is more than half transparent, and what is clipped: a pixel at 0, or at 255, in
    all three channels is blown out or crushed, and says only that the light was too much or too
    little. Where fewer than 1 pixel in 20 would be left, black and white are evidently what the
    picture shows (a drawing, a page, a wall) and they count.

    Raises as `open_photo`, and ImageError where all is transparent.
    """
    if selections:
        region = bounds_of(selections)
    pixels = open_pixels(source, name=name, within=WORKING_PX, region=region)
    srgb = np.asarray(pixels.rgb)
    height, width = srgb.shape[:2]
    visible = np.ones((height, width), dtype=np.bool_)
    if selections and region is not None:
        visible = combine([_within(one, region) for one in selections], width, height)
    asked = np.count_nonzero(visible)
    if pixels.alpha is not None:
        visible &= np.asarray(pixels.alpha) >= _OPAQUE
    total = np.count_nonzero(visible)
    if total == 0:
        raise ImageError(
            f"there is nothing to see in {pixels.label}: it is transparent all over; "
            "choose another picture, or another part of it"
        )
    red, green, blue = srgb[..., 0], srgb[..., 1], srgb[..., 2]
    unclipped = visible & ((red | green | blue) > 0) & ((red & green & blue) < 255)
    if np.count_nonzero(unclipped) >= _LEAST_UNCLIPPED * total:
        visible = unclipped
    if not glare:
        visible = without_glare(srgb, visible)
    left_out = 1 - float(np.count_nonzero(visible) / asked)
    return Seen(srgb[visible], visible, left_out)


def _within(selection: Selection, region: Region) -> Selection:
    """The same selection, in percent of a region that holds it."""

    def across(x: float) -> float:
        return min(max((x - region.x) / region.w * 100, 0.0), 100.0)

    def down(y: float) -> float:
        return min(max((y - region.y) / region.h * 100, 0.0), 100.0)

    if isinstance(selection.outline, Region):
        box = selection.outline
        left, top = across(box.x), down(box.y)
        right, bottom = across(box.x + box.w), down(box.y + box.h)
        return Selection(Region(left, top, right - left, bottom - top))
    outline, *holes = (
        tuple((across(x), down(y)) for x, y in ring)
        for ring in (selection.outline, *selection.holes)
    )
    return Selection(outline, tuple(holes))


def fold(seen: Seen, bits: int, to_lab: ToLab = srgb_to_lab) -> tuple[Floats, Ints, Ints]:
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
