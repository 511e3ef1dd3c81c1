"""A photograph of a board as two spectra and how they mix in each pixel.

A renderer that is given red, green and blue makes up a spectrum for each pixel, which errs under
lamps. A wood's figure runs from a dark to a light of nearly one hue, so that the spectra of these
two, mixed by a mask, are enough for wood; a shell has two such axes and four spectra.
"""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.colour import delta_e_2000, lab_to_xyz, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, Array
from brief.colour.viewing.light import DAYLIGHT
from brief.colour.viewing.spectra import bands_under, reflectance_of
from brief.photo.lightness import LINEAR

CUT = 0.5  # percent of the pixels at either end that count as the darkest and the lightest
LEAST_XYZ = 0.002
MOST_Y = 0.95
ENOUGH = 40_000  # pixels that tell how the colours of a board are spread
SHARES = tuple(step / 20 for step in range(20, 0, -1))
NEAR = 0.5  # CIEDE2000 between a colour and that of its smooth spectrum


@dataclass(frozen=True)
class Figured:
    """Colours at the ends of each axis, and a mask for each.

    Attributes
    ----------
    ends : tuple of ndarray, shape (3,)
        CIELAB, D65 / 2°; two of one axis, dark and light; or four, both ends of the first axis at
        the one end of the second, then at its other.
    masks : tuple of ndarray, shape (height, width), float32, 0 to 1
        How far along its axis each pixel is; one or two.
    """

    ends: tuple[Array, ...]
    masks: tuple[NDArray[np.float32], ...]


def figured(jpeg: bytes, lab: tuple[float, float, float], axes: int = 1) -> Figured:
    """A photograph parted so that its mean is that colour.

    Parameters
    ----------
    jpeg : bytes
        What is shown of the photograph.
    lab : three floats
        What was measured of it, CIELAB, D65 / 2°.
    axes : 1 or 2

    Raises
    ------
    OSError
        If it is no picture.
    """
    with Image.open(io.BytesIO(jpeg)) as photograph:
        xyz = LINEAR[np.asarray(photograph.convert("RGB"))] @ SRGB_TO_XYZ.T
    size, xyz = xyz.shape[:2], xyz.reshape(-1, 3)
    # Brought to the measured mean exactly, channel by channel: a mean of Labs is another one.
    mean = lab_to_xyz(np.array(lab))
    xyz *= mean / np.maximum(xyz.mean(axis=0), 1e-6)
    away = xyz - mean
    some = slice(None, None, max(1, len(away) // ENOUGH))
    along = [_by_lightness(away[some])]
    if axes == 2:
        rest = away[some] - np.outer(away[some, 1], along[0])
        _, _, directions = np.linalg.svd(rest, full_matrices=False)
        along.append(directions[0])
    left = away
    masks: list[NDArray[np.float32]] = []
    spans: list[tuple[Array, Array]] = []
    for direction in along:
        place = left @ direction / (direction @ direction) if masks else left[:, 1]
        least, most = np.percentile(place[some], (CUT, 100 - CUT))
        least, most = (one * _reached(mean, one * direction) for one in (least, most))
        most = max(most, least + 1e-6)
        mask = np.clip((place - least) / (most - least), 0, 1)
        # What was cut off at the ends is given back, so that the mean stays.
        shift = float((place - (least + mask * (most - least))).mean())
        masks.append(mask.reshape(size).astype(np.float32))
        spans.append(((least + shift) * direction, (most + shift) * direction))
        if axes == 2:
            left = left - np.outer(place, direction)
    corners = [mean + one for one in spans[0]]
    if axes == 2:
        corners = [corner + other for other in spans[1] for corner in corners]
    ends = tuple(xyz_to_lab(np.maximum(corner, LEAST_XYZ)) for corner in corners)
    return Figured(ends, tuple(masks))


def _reached(mean: Array, away: Array) -> float:
    """How much of a way from the mean still ends in a colour that a surface may have."""
    for share in SHARES:
        there = mean + share * away
        if there.min() <= LEAST_XYZ or there[1] > MOST_Y:
            continue
        wanted = xyz_to_lab(there)
        bands = bands_under(DAYLIGHT)
        got = xyz_to_lab(reflectance_of(wanted) @ bands, bands.sum(axis=0))
        if delta_e_2000(wanted, got) < NEAR:
            return share
    return 0.0


def _by_lightness(away: Array) -> Array:
    """How X, Y and Z follow Y, whose own entry is 1."""
    spread = float(away[:, 1] @ away[:, 1])
    direction: Array = away.T @ away[:, 1] / spread if spread > 0 else np.ones(3)
    return direction
