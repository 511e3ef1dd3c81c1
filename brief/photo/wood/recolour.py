"""A photograph of a board brought to the colour that the board has, or will have."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import ArrayLike
from PIL import Image, ImageFilter
from PIL.Image import Image as Photo

from brief.colour import lab_to_srgb, srgb_to_lab, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, Array
from brief.photo.lightness import LINEAR, levels_of, unclipped
from brief.photo.wood.glare import without_glare

NODES = 33
"""Along each side of the cube of colours that the shift is worked out at. Between them it runs
straight, which misses it by under a third of a level on average, and by 5 of 255 in the darkest."""


def recolour(image: Photo, to: Sequence[float], of: Sequence[float] | None = None) -> Photo:
    """The picture with the same shift added to every pixel, so that one colour becomes another.

    Parameters
    ----------
    image : Image
    to : three floats
        CIELAB, D65 / 2°.
    of : three floats, optional
        The colour that is brought to it: the mean, in linear light, of the measured part as it was
        shot. Without it, the mean of the picture, less glare and clipped pixels, as `measure_patch`
        leaves them out.

    Returns
    -------
    Image
        The figure keeps its contrast; colours beyond the screen's are clipped.

    Raises
    ------
    ImageError
        Without `of`, where nothing is left to measure.
    """
    levels = image.convert("RGB")
    if of is None:
        srgb = np.asarray(levels)
        counted = without_glare(srgb, unclipped(srgb))
        of = xyz_to_lab(SRGB_TO_XYZ @ LINEAR[srgb[counted]].mean(axis=0)).tolist()
    lab = _cube() + np.subtract(to, of)
    lab[..., 0] = np.clip(lab[..., 0], 0, 100)
    table = lab_to_srgb(lab).astype(np.float32).ravel()
    return levels.filter(ImageFilter.Color3DLUT(NODES, table))


@cache
def _cube() -> Array:
    """CIELAB of evenly spaced sRGB, red fastest."""
    side = np.linspace(0, 1, NODES)
    blue, green, red = np.meshgrid(side, side, side, indexing="ij")
    return srgb_to_lab(np.stack([red, green, blue], axis=-1).reshape(-1, 3))


def transform(image: Photo, matrix: ArrayLike) -> Photo:
    """The picture with a 3 x 3 matrix applied to the linear sRGB of every pixel, then clipped."""
    levels = np.asarray(image.convert("RGB"))
    return Image.fromarray(levels_of(LINEAR[levels] @ np.asarray(matrix).T))
