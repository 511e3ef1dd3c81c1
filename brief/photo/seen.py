"""A picture, and the figure of a board, as the eye has them from a distance (S-CIELAB).

The kernels and their source are in `brief.colour.distance`. A filtered picture shows what is left
of the thing from there; it is meant to be looked at close up, where the screen blurs no more of it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.Image import Image as Photo

from brief.colour import (
    delta_e_2000,
    lab_to_xyz,
    linear_to_srgb,
    xyz_to_lab,
)
from brief.colour.distance import KERNELS, OPPONENT
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, Array
from brief.errors import InputError
from brief.photo.recolour import LINEAR

Floats = NDArray[np.float32]

SAMPLED = 3  # of the pixels each way; a root mean square needs no more
COARSE_SIGMA_PX = 6.0  # a wider blur loses nothing on a picture shrunk until it is this wide


def as_seen(image: Photo, mm_per_px: float, distance_m: float) -> Photo:
    """The picture as the eye has it.

    mm_per_px : of what it shows, above 0. distance_m : from the eye to that, above 0.
    At the edges the picture is taken to go on mirrored. What no screen shows is clipped.
    Raises InputError for a size or a distance that is not above 0.
    """
    seen = _filtered(_opponent(image), mm_per_px, distance_m)
    linear = seen @ (XYZ_TO_SRGB @ np.linalg.inv(OPPONENT)).T.astype(np.float32)
    return _picture(linear)


def with_line(
    ground: Photo, mm_per_px: float, line: Sequence[float] | Array, width_mm: float
) -> Photo:
    """The picture with a straight line from side to side across its middle.

    line : its colour, CIELAB, D65 / 2°. width_mm : above 0. A pixel that the line covers in part
    gets that part of its light, so that even one thinner than a pixel keeps its amount.
    Raises InputError for a size that is not above 0.
    """
    _check(mm_per_px, "mm_per_px")
    _check(width_mm, "width_mm")
    linear = LINEAR[np.asarray(ground.convert("RGB"))]
    rows = np.arange(linear.shape[0])
    middle, half = linear.shape[0] / 2, width_mm / mm_per_px / 2
    covered = np.clip(np.minimum(rows + 1, middle + half) - np.maximum(rows, middle - half), 0, 1)
    colour = np.clip(XYZ_TO_SRGB @ lab_to_xyz(line), 0, 1)
    share = covered[:, np.newaxis, np.newaxis].astype(np.float32)
    return _picture(linear * (1 - share) + colour.astype(np.float32) * share)


def grain_as_seen(image: Photo, mm_per_px: float, distances_m: Sequence[float]) -> Array:
    """How far a board's own figure strays from its mean, as seen: CIEDE2000, root mean square.

    One for each distance; 0 is close up, where nothing is blurred. A board smaller than the widest
    kernel (4.3°, 0.3 m from 4 m) is taken to go on mirrored, which leaves it a little more figure
    than a larger one of its kind.
    Raises InputError for a size that is not above 0, or a distance below 0.
    """
    plain = _opponent(image)
    mean = plain.reshape(-1, 3).mean(axis=0)
    return np.array(
        [
            _stray(plain if away == 0 else _filtered(plain, mm_per_px, away), mean)
            for away in distances_m
        ]
    )


def _stray(opponent: Floats, mean: Floats) -> float:
    to_xyz = np.linalg.inv(OPPONENT).T
    sampled = opponent[::SAMPLED, ::SAMPLED].reshape(-1, 3)
    labs = xyz_to_lab(sampled.astype(np.float64) @ to_xyz)
    middle = xyz_to_lab(mean.astype(np.float64) @ to_xyz)
    return float(np.sqrt(np.mean(delta_e_2000(labs, middle) ** 2)))


def _opponent(image: Photo) -> Floats:
    linear = LINEAR[np.asarray(image.convert("RGB"))]
    seen: Floats = linear @ (OPPONENT @ SRGB_TO_XYZ).T.astype(np.float32)
    return seen


def _filtered(opponent: Floats, mm_per_px: float, distance_m: float) -> Floats:
    """Each channel blurred by its kernels, shape (height, width, 3)."""
    _check(mm_per_px, "mm_per_px")
    _check(distance_m, "distance_m")
    px_per_degree = 2000 * distance_m * np.tan(np.radians(0.5)) / mm_per_px
    seen = np.zeros_like(opponent)
    for channel, kernels in enumerate(KERNELS):
        whole = sum(weight for weight, _ in kernels)
        for weight, s in kernels:
            sigma = s / np.sqrt(2) * px_per_degree
            seen[..., channel] += weight / whole * _blurred(opponent[..., channel], sigma)
    return seen


def _blurred(channel: Floats, sigma_px: float) -> Floats:
    """A Gaussian blur, mirrored at the edges; a wide one on a smaller picture."""
    from scipy.ndimage import gaussian_filter

    height, width = channel.shape
    shrink = int(min(sigma_px / COARSE_SIGMA_PX, height / 4, width / 4))
    if shrink < 2:
        near: Floats = gaussian_filter(channel, sigma_px, mode="reflect")
        return near
    size = max(1, round(width / shrink)), max(1, round(height / shrink))
    small = np.asarray(Image.fromarray(channel).resize(size, Image.Resampling.BOX))
    # What the shrinking has blurred already, a box of `shrink` pixels, need not be blurred again.
    rest = np.sqrt(max(sigma_px**2 - shrink**2 / 6, 0.0))
    far = gaussian_filter(
        small, rest * np.array([size[1] / height, size[0] / width]), mode="reflect"
    )
    return np.asarray(Image.fromarray(far).resize((width, height), Image.Resampling.BICUBIC))


def _picture(linear: Floats) -> Photo:
    levels = np.rint(linear_to_srgb(np.clip(linear, 0, 1)) * 255).astype(np.uint8)
    return Image.fromarray(levels)


def _check(value: float, name: str) -> None:
    if not 0 < value < np.inf:  # False for NaN, too
        raise InputError.at(name, f"{name} must be above 0; got {value!r}")
