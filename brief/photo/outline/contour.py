"""The outline of one thing that lies on a background of another colour, to a part of a pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.errors import InputError
from brief.photo.lightness import Floats, Mask, Srgb, as_srgb, lab_of
from brief.photo.outline.edges import level_runs, parting_level
from brief.photo.wood.scale import Point, inside_picture

RIM = 0.03  # of the picture's shorter side: what lies this near to its edge is background
LEAST_CONTRAST = 10.0  # CIE 1976 between thing and background; less is shadow and grain
LEAST_SHARE = 0.02  # of the picture: smaller is a knot or a screw
COLOURED, LIGHT_SHARE = 10.0, 0.15  # CIE 1976 in a and b; what is left of L where they differ so
SOFT_PX = 1.0  # noise is smoothed by that much before the edge is looked for
BAND_PX = 4  # how far from the edge the colours still decide where it runs


@dataclass(frozen=True)
class Contour:
    """A closed outline.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        In order, percent of the picture's width and height; the last is not the first again.
    pixel_percent : float
        One pixel of the picture that was looked at, percent of its width.
    contrast : float
        CIE 1976 between the thing and its background.
    """

    points: Floats
    pixel_percent: float
    contrast: float


def find_contour(picture: Image.Image | Srgb, inside: Point | None = None) -> Contour:
    """The outline of the largest thing in the picture, or of the one under a point of it.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB, as `open_photo` gives it.
    inside : (float, float), optional
        Percent of width and height; by it the opening of a frame can be chosen as well as a solid
        thing.

    Returns
    -------
    Contour

    Raises
    ------
    InputError
        Where there is too little contrast, the outline leaves the picture, or the point is outside
        of all.
    ImageError
        As `as_srgb`.

    Notes
    -----
    The background is told from the edges of the picture; a plane is laid through its colour, so
    that light which falls off to one side does no harm.
    """
    from scipy.ndimage import gaussian_filter

    srgb = as_srgb(picture)
    height, width = srgb.shape[:2]
    apart = _off_background(srgb)
    off = gaussian_filter(np.linalg.norm(apart, axis=2), SOFT_PX, mode="nearest")
    mask = off > parting_level(off)
    if mask.any() and np.hypot(*np.median(apart[mask], axis=0)[1:]) >= COLOURED:
        # A shadow is darker, but of the background's own hue; so the hue tells more than the light.
        apart[..., 0] *= LIGHT_SHARE
        off = gaussian_filter(np.linalg.norm(apart, axis=2), SOFT_PX, mode="nearest")
        mask = off > parting_level(off)
    contrast = float(np.median(off[mask]) - np.median(off[~mask])) if mask.any() else 0.0
    if contrast < LEAST_CONTRAST:
        raise InputError(
            "There is too little contrast in this picture to find an outline by. Lay the mould on "
            "a sheet of another colour, light on dark or dark on light, in even light."
        )
    thing, solid = _chosen(mask, inside)
    if thing[[0, -1]].any() or thing[:, [0, -1]].any():
        raise InputError(
            "The outline runs out of the picture. Photograph all of the mould, with background "
            "on every side."
        )
    towards = off if solid else -off
    level = _halfway(towards, thing)
    run = max(level_runs(_only(towards, thing, level), level), key=len)
    points = (run[:-1] + 0.5) / (width, height) * 100
    return Contour(points, 100 / width, contrast)


def _off_background(srgb: Srgb) -> Floats:
    """By how much each pixel's colour differs from the background's: L, a and b, each."""
    lab = lab_of(srgb)
    height, width = lab.shape[:2]
    y, x = np.mgrid[0:height, 0:width]
    rim = max(2, round(RIM * min(height, width)))
    at_rim = np.minimum.reduce([x, y, width - 1 - x, height - 1 - y]) < rim
    plane = np.column_stack([np.ones(at_rim.sum()), x[at_rim] / width, y[at_rim] / height])
    colours = lab[at_rim]
    kept = np.ones(len(plane), dtype=bool)
    for _ in range(3):  # without what lies across the rim, such as a rule
        fit, *_ = np.linalg.lstsq(plane[kept], colours[kept], rcond=None)
        missed = np.linalg.norm(colours - plane @ fit, axis=1)
        kept = missed <= 2.5 * np.median(missed[kept]) + 1e-6
    ground = fit[0] + (x / width)[..., None] * fit[1] + (y / height)[..., None] * fit[2]
    apart: Floats = lab - ground
    return apart


def _chosen(mask: Mask, inside: Point | None) -> tuple[Mask, bool]:
    """The thing without holes, and whether it is of another colour than the background."""
    from scipy.ndimage import binary_fill_holes, generate_binary_structure, label

    solid = True
    if inside is None:
        parts, _ = label(mask, generate_binary_structure(2, 2))
        sizes = np.bincount(parts.ravel())
        sizes[0] = 0
        chosen = parts == int(sizes.argmax())
    else:
        inside_picture(inside, "inside", "the point")
        height, width = mask.shape
        row = min(height - 1, int(inside[1] / 100 * height))
        column = min(width - 1, int(inside[0] / 100 * width))
        solid = bool(mask[row, column])
        parts, _ = label(mask if solid else ~mask)
        chosen = parts == parts[row, column]
        if not solid and (chosen[[0, -1]].any() or chosen[:, [0, -1]].any()):
            raise InputError.at(
                "inside", "This point lies on the background. Tap inside the outline."
            )
    filled: Mask = binary_fill_holes(chosen)
    if filled.mean() < LEAST_SHARE:
        raise InputError.at(
            "inside",
            "What lies there is too small to be a body. Tap inside the outline, or photograph it "
            "from nearer.",
        )
    return filled, solid


def _halfway(towards: Floats, thing: Mask) -> float:
    """The level half-way between the colours on either side of the edge."""
    from scipy.ndimage import distance_transform_edt

    within, without = distance_transform_edt(thing), distance_transform_edt(~thing)
    near = 3 * BAND_PX
    one = towards[(within > BAND_PX) & (within < near)]
    other = towards[(without > BAND_PX) & (without < near)]
    if not one.size or not other.size:
        raise InputError.at("inside", "What lies there is too thin to be a body.")
    return float((np.median(one) + np.median(other)) / 2)


def _only(towards: Floats, thing: Mask, level: float) -> NDArray[np.float64]:
    """The values near the edge of the thing; beyond it far below the level, deep in it above."""
    from scipy.ndimage import binary_dilation, binary_erosion

    near = binary_dilation(thing, iterations=BAND_PX)
    deep = binary_erosion(thing, iterations=BAND_PX)
    spread = float(np.ptp(towards)) + 1.0
    return np.where(deep, level + spread, np.where(near, towards, level - spread))
