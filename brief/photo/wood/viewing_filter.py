"""A picture, and the figure of a board, as the eye has them from a distance (S-CIELAB).

The kernels and their source are in `brief.colour.viewing.distance`. They are Gaussian, so that in
the cosine domain, where a picture goes on mirrored at its edges, each is a plain factor. A filtered
picture shows what is left of the thing from there; it is meant to be looked at close up, where the
screen blurs no more of it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.Image import Image as Photo

from brief.colour import lab_to_xyz
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB, Array
from brief.colour.viewing.distance import KERNELS, OPPONENT, wave_response
from brief.colour.viewing.observer import as_differences
from brief.errors import InputError, quoted
from brief.photo.lightness import LINEAR, levels_of

Floats = NDArray[np.float32]

RINGS = 4096  # to a cycle a pixel: waves of so nearly the same length are blurred alike


def as_seen(image: Photo, mm_per_px: float, distance_m: float) -> Photo:
    """The picture as the eye has it.

    Parameters
    ----------
    image : Image
    mm_per_px : float, above 0
        Of what it shows.
    distance_m : float, above 0
        From the eye to that.

    Returns
    -------
    Image
        Colours beyond the screen's are clipped.

    Raises
    ------
    InputError
        For a size or a distance not above 0.

    References
    ----------
    Zhang and Wandell (1996), see `brief.colour.viewing.distance`.
    """
    seen = _filtered(_waves(image), _px_per_degree(mm_per_px, distance_m))
    to_linear = (XYZ_TO_SRGB @ np.linalg.inv(OPPONENT)).astype(np.float32)
    return Image.fromarray(levels_of(np.moveaxis(np.tensordot(to_linear, seen, axes=1), 0, -1)))


def with_line(
    ground: Photo, mm_per_px: float, line: Sequence[float] | Array, width_mm: float
) -> Photo:
    """The picture with a straight line from side to side across its middle.

    Parameters
    ----------
    ground : Image
    mm_per_px : float, above 0
    line : three floats
        Its colour, CIELAB, D65 / 2°.
    width_mm : float, above 0
        A pixel that the line covers in part gets that part of its light, so that even one thinner
        than a pixel keeps its amount.

    Returns
    -------
    Image

    Raises
    ------
    InputError
        For a size that is not above 0.
    """
    _check(mm_per_px, "mm_per_px")
    _check(width_mm, "width_mm")
    linear = LINEAR[np.asarray(ground.convert("RGB"))]
    colour = np.clip(XYZ_TO_SRGB @ lab_to_xyz(line), 0, 1)
    share = line_cover(linear.shape[0], linear.shape[0] / 2, width_mm / mm_per_px)
    share = share[:, np.newaxis, np.newaxis]
    return Image.fromarray(levels_of(linear * (1 - share) + colour * share))


def line_cover(rows: int, middle_px: float, width_px: float) -> Array:
    """What share of each row of pixels a line along the rows covers, 0 to 1, shape (rows,)."""
    row, half = np.arange(rows), width_px / 2
    cover: Array = np.minimum(row + 1, middle_px + half) - np.maximum(row, middle_px - half)
    return np.clip(cover, 0, 1)


def contrast_left(image: Photo, mm_per_px: float, distances_m: Sequence[float]) -> Array:
    """The share of the contrast of a board's own figure that is left from each distance.

    Parameters
    ----------
    image : Image
        Of the board.
    mm_per_px : float, above 0
    distances_m : sequence of k floats, above 0

    Returns
    -------
    ndarray, shape (k,)
        0 to 1, of the root mean square about its mean in CIEDE2000, as it is for small differences.

    Raises
    ------
    InputError
        For a size or a distance that is not above 0.

    Notes
    -----
    A board smaller than the widest kernel (4.3°, 0.3 m from 4 m) is assumed to go on mirrored,
    which
    leaves it a little more figure than a larger one of its kind. A photograph whose pixels are
    larger than a minute of arc from where it is asked about holds less figure than the eye would
    see.

    References
    ----------
    Zhang and Wandell (1996), see `brief.colour.viewing.distance`.
    """
    scales = np.array([_px_per_degree(mm_per_px, away) for away in distances_m])
    waves = _waves(image)
    weights = as_differences(waves[:, 0, 0].astype(np.float64))
    # The squares of the waves add up to the variance (Parseval), and the blur, which is the same
    # in all directions, takes from a wave by its length alone: so the board is gone through once
    # and not for each distance. All but the mean repeat as they are mirrored.
    waves[:, 0, 0] = 0.0
    waves[:, 1:] *= np.sqrt(np.float32(2))
    waves[:, :, 1:] *= np.sqrt(np.float32(2))
    down, across = (np.arange(size) / (2 * size) for size in waves.shape[1:])
    ring = (np.hypot(down[:, np.newaxis], across) * RINGS).astype(np.intp).ravel()
    flat = waves.reshape(3, -1)
    power = np.array([[np.bincount(ring, one * other) for one in flat] for other in flat])
    power *= (weights.T @ weights)[..., np.newaxis]
    cycles_per_px = (np.arange(power.shape[-1]) + 0.5) / RINGS
    kept = wave_response(cycles_per_px * scales[:, np.newaxis])
    left = np.einsum("krc,krd,cdr->k", kept, kept, power)
    close_up = power.sum()
    share: Array = np.sqrt(np.minimum(left / close_up, 1.0)) if close_up else np.ones(len(scales))
    return share


def _waves(image: Photo) -> Floats:
    """The three opponent channels in the cosine domain, shape (3, height, width)."""
    from scipy.fft import dctn

    linear = LINEAR[np.asarray(image.convert("RGB"))].astype(np.float32)
    opponent = np.tensordot((OPPONENT @ SRGB_TO_XYZ).astype(np.float32), linear, axes=([1], [2]))
    waves: Floats = dctn(opponent, axes=(1, 2), norm="forward")
    return waves


def _filtered(waves: Floats, px_per_degree: float) -> Floats:
    """Each channel blurred by its kernels and back from the cosine domain."""
    from scipy.fft import idctn

    # exp(-r² / s²) has the transform exp(-(ω s)² / 4).
    down, across = (np.pi * np.arange(size) / size for size in waves.shape[1:])
    kept = np.empty_like(waves)
    for channel, kernels in enumerate(KERNELS):
        whole = sum(weight for weight, _ in kernels)
        kept[channel] = waves[channel] * sum(
            weight
            / whole
            * np.outer(
                np.exp(-((down * s * px_per_degree) ** 2) / 4),
                np.exp(-((across * s * px_per_degree) ** 2) / 4),
            )
            for weight, s in kernels
        )
    seen: Floats = idctn(kept, axes=(1, 2), norm="forward")
    return seen


def _px_per_degree(mm_per_px: float, distance_m: float) -> float:
    _check(mm_per_px, "mm_per_px")
    _check(distance_m, "distance_m")
    return float(2000 * distance_m * np.tan(np.radians(0.5)) / mm_per_px)


def _check(value: float, name: str) -> None:
    if not 0 < value < np.inf:  # False for NaN, too
        raise InputError.at(name, f"{name} must be above 0; got {quoted(value)}")
