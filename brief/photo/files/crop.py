"""The wanted part of a decoded picture in the wanted size, taken from it strip by strip.

A picture as it is decoded may fill most of the memory that one may take, so that no other of its
size is ever made of it: each strip is brought to 8 bits a channel and shrunk by whole pixels before
the next is looked at, and what is left is brought to its size.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from PIL import Image

# Weighs pixels by how much of each lies under the new one, never negatively: Lanczos and bicubic
# overshoot at edges and so invent colours that are not in the photograph.
_RESAMPLE = Image.Resampling.HAMMING
_REACH = 0.5  # of a new pixel, that it weighs beyond its own edges
_GAP = 3.0  # by how much what was shrunk by whole pixels is still larger than what is wanted
_LARGE, _MOST_LEFT = 70_000_000, 12_000_000  # pixels; beyond the one the gap closes to the other
_STRIP = 2_000_000  # pixels
_PREMULTIPLIED = {"LA": "La", "RGBA": "RGBa"}

Channels = tuple[Image.Image, Image.Image | None]


class _Plan(NamedTuple):
    """Which whole pixels are looked at, and how many of them across and down become one."""

    box: tuple[int, int, int, int]
    factor: tuple[int, int]


def cut(image: Image.Image, edges: Sequence[float], size: tuple[int, int]) -> Channels:
    """The wanted part of a picture in the wanted size, 8 bits a channel.

    Parameters
    ----------
    image : Image
        Decoded, of one of MODES.
    edges : sequence of four floats
        Left, top, right and bottom, in its pixels.
    size : (int, int)
        Of the result; it is not meant to be larger than the part.

    Returns
    -------
    colour : Image
        L, RGB or CMYK.
    alpha : Image or None
        Mode L; None if it is opaque all over.
    """
    box = (edges[0], edges[1], edges[2], edges[3])
    as_it_is = size == (box[2] - box[0], box[3] - box[1]) and all(one == int(one) for one in box)
    mode = _mode(image)
    # Together with how opaque it is, so that what is transparent does not bleed into what is not.
    worked_in = mode if as_it_is else _PREMULTIPLIED.get(mode, mode)
    plan = _plan(image.size, box, size, _REACH * (not as_it_is))
    (left, top, right, bottom), (across, down) = plan
    shrunk = Image.new(
        worked_in, (math.ceil((right - left) / across), math.ceil((bottom - top) / down))
    )
    for at, strip in _strips(image, plan):
        shrunk.paste(_in_mode(strip, mode, worked_in).reduce(plan.factor), (0, at))
    if not as_it_is:
        within = (
            (box[0] - left) / across,
            (box[1] - top) / down,
            (box[2] - left) / across,
            (box[3] - top) / down,
        )
        shrunk = shrunk.resize(size, _RESAMPLE, box=within).convert(mode)
    if mode not in _PREMULTIPLIED:
        return shrunk, None
    alpha = shrunk.getchannel("A")
    return shrunk.convert(mode[:-1]), None if alpha.getextrema() == (255, 255) else alpha


def _mode(image: Image.Image) -> str:
    if image.mode == "CMYK":
        return "CMYK"
    colour = "L" if image.mode in ("1", "L", "LA") or image.mode.startswith("I;16") else "RGB"
    return f"{colour}A" if image.has_transparency_data else colour


def _plan(
    whole: tuple[int, int],
    box: tuple[float, float, float, float],
    size: tuple[int, int],
    reach: float,
) -> _Plan:
    scales = (box[2] - box[0]) / size[0], (box[3] - box[1]) / size[1]
    room = [reach * max(scale, 1.0) for scale in scales]
    left, top = (max(0, math.floor(box[at] - room[at])) for at in (0, 1))
    right, bottom = (min(whole[at], math.ceil(box[at + 2] + room[at])) for at in (0, 1))
    pixels = (right - left) * (bottom - top)
    needed = math.ceil(math.sqrt(pixels / _MOST_LEFT)) if pixels > _LARGE else 1
    across, down = (max(1, int(scale / _GAP), min(int(scale), needed)) for scale in scales)
    return _Plan((left, top, right, bottom), (across, down))


def _strips(image: Image.Image, plan: _Plan) -> Iterator[tuple[int, Image.Image]]:
    """Strips of it, of whole new rows, and which row each begins with."""
    (left, top, right, bottom), (_, down) = plan
    height = max(1, _STRIP // max(1, right - left) // down) * down
    for start in range(top, bottom, height):
        end = min(start + height, bottom)
        yield (start - top) // down, image.crop((left, start, right, end))


def _in_mode(strip: Image.Image, mode: str, worked_in: str) -> Image.Image:
    if strip.mode.startswith("I;16"):
        levels = np.asarray(strip).astype(np.uint32)
        strip = Image.fromarray(((levels + 128) // 257).astype(np.uint8))
    elif strip.mode != mode:
        strip = strip.convert(mode)
    return strip if worked_in == mode else strip.convert(worked_in)
