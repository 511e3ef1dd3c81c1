"""A photograph of a board brought to the colour that the board has, or will have."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import ArrayLike
from PIL import Image, ImageFilter
from PIL.Image import Image as Photo

from brief.colour import lab_to_srgb, linear_to_srgb, srgb_to_lab, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, Array
from brief.photo.lightness import LINEAR

NODES = 33
"""Along each side of the cube of colours that the shift is worked out at. Between them it runs
straight, which misses it by under a third of a level on average, and by 5 of 255 in the darkest."""


def recolour(image: Photo, mean: Sequence[float]) -> Photo:
    """The picture with the same shift added to every pixel, so that its mean has that colour.

    mean : L, a, b, CIELAB, D65 / 2°, of the mean of the pixels in linear light, as `measure_patch`
    tells it. The figure keeps its contrast; what no screen shows is clipped.
    """
    levels = image.convert("RGB")
    counts = np.asarray(levels.histogram(), dtype=float).reshape(3, 256)
    linear = counts @ LINEAR / counts.sum(axis=1)
    shift = np.asarray(mean, dtype=float) - xyz_to_lab(linear @ SRGB_TO_XYZ.T)
    lab = _cube() + shift
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
    linear = np.clip(LINEAR[levels] @ np.asarray(matrix).T, 0, 1)
    return Image.fromarray(np.rint(linear_to_srgb(linear) * 255).astype(np.uint8))
