"""A photograph of a board brought to the colour that the board has, or will have."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike
from PIL import Image
from PIL.Image import Image as Photo

from brief.colour import lab_to_srgb, linear_to_srgb, srgb_to_lab, srgb_to_linear, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo.lightness import LINEAR

ROWS = 128  # at a time, to need little memory


def recolour(image: Photo, mean: Sequence[float]) -> Photo:
    """The picture with the same shift added to every pixel, so that its mean has that colour.

    mean : L, a, b, CIELAB, D65 / 2°, of the mean of the pixels in linear light, as `measure_patch`
    tells it. The figure keeps its contrast; what no screen shows is clipped.
    """
    levels = np.asarray(image.convert("RGB"))
    shot = xyz_to_lab(srgb_to_linear(levels.reshape(-1, 3) / 255).mean(axis=0) @ SRGB_TO_XYZ.T)
    shift = np.asarray(mean, dtype=float) - shot
    moved = np.empty_like(levels)
    for top in range(0, len(levels), ROWS):
        lab = srgb_to_lab(levels[top : top + ROWS] / 255) + shift
        lab[..., 0] = np.clip(lab[..., 0], 0, 100)
        moved[top : top + ROWS] = np.rint(lab_to_srgb(lab) * 255)
    return Image.fromarray(moved)


def transform(image: Photo, matrix: ArrayLike) -> Photo:
    """The picture with a 3 x 3 matrix applied to the linear sRGB of every pixel, then clipped."""
    levels = np.asarray(image.convert("RGB"))
    linear = np.clip(LINEAR[levels] @ np.asarray(matrix).T, 0, 1)
    return Image.fromarray(np.rint(linear_to_srgb(linear) * 255).astype(np.uint8))
