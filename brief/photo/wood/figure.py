"""What the wood does: its light and dark, the direction of its grain, its curl."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from PIL import Image

from brief.colour import xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo.lightness import LINEAR, Floats, Mask, Srgb, as_srgb, fits, lightness
from brief.photo.wood.curl import Ripple, find_ripple
from brief.photo.wood.scale import Scale

FigureWord = Literal["plain", "straight", "curly", "wild"]

# Our own boundaries, no source.
LEAST_CONTRAST = 3.0  # L from dark to light; a plainer face is called plain
STRAIGHT = 0.5  # strength from which grain that does not curl is called straight, not wild
LEAST_STRENGTH = 0.4  # below, the grain has no one direction

_SOFT_PX = 1.5  # evens out the sensor's noise; the derivative errs on anything finer
_FIBRE_PX = 2.5  # what is much wider is no fibre
_FIBRE_STRENGTH = 0.3
_LEAST_FIBRES = 1e-3  # of the power of all detail; less is rounding to 8 bits
_EDGE_PX = 6  # from the border of the sample, what lies outside shows in the derivatives


@dataclass(frozen=True)
class Figure:
    """The figure of a sample of wood.

    Attributes
    ----------
    dark, light : (float, float, float)
        CIELAB, D65 / 2°: the mean of its darkest and of its lightest tenth (so about the 5th and
        the 95th percentile), the light on the face evened out.
    contrast : float
        L from one to the other.
    direction_deg : float or None
        Of the grain, 0 up to 180, from the picture's width anticlockwise, as on a protractor; None
        where it has no one direction.
    strength : float
        Coherence of the structure tensor, 0 (no direction) to 1 (one direction only): of all
        detail, or of the fibres alone where they tell more.
    curl_px, curl_mm : float or None
        From one ripple to the next along the grain, in pixels of the picture given and, with a
        scale, on the wood; None where there is no convincing ripple.
    curl_clarity : float
        0 to 1, the share of the variation at that length that is ripple and not figure of every
        other length; 0 without a ripple.
    word : str
        plain (contrast below 3), curly (a convincing ripple), straight (strength 0.5 or more), else
        wild. These boundaries are ours.
    """

    dark: tuple[float, float, float]
    light: tuple[float, float, float]
    contrast: float
    direction_deg: float | None
    strength: float
    curl_px: float | None
    curl_mm: float | None
    curl_clarity: float
    word: FigureWord


def measure_figure(
    picture: Image.Image | Srgb, mask: Mask | None = None, scale: Scale | None = None
) -> Figure:
    """Measure the figure of a photograph, or of the part of it under a mask.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB; 800 to 1500 pixels along the longest side show fibres and are fast.
    mask : ndarray of bool, shape (h, w), optional
        All of it without one.
    scale : Scale, optional
        Of the same picture.

    Returns
    -------
    Figure

    Raises
    ------
    ImageError
        As `as_srgb`, on a mask of another shape and on one that is empty.

    Notes
    -----
    The grain is told by its fibres, which are finer than the ripples that cross them. Where the
    picture shows ripples and no fibre at all, the ripples count as the grain.

    References
    ----------
    Bigün and Granlund (1987) for the structure tensor, from memory.
    """
    from scipy.ndimage import gaussian_filter

    srgb = as_srgb(picture)
    sample = fits(mask, srgb)
    even, gain = _evenly_lit(lightness(srgb), sample)
    soft = gaussian_filter(even, _SOFT_PX)
    dark, light = _ends(srgb, gain, soft, sample)
    direction, strength = _grain(soft, sample)
    contrast = light[0] - dark[0]
    ripple = None if direction is None else find_ripple(even, sample, direction)
    curl_px = None if ripple is None else ripple.period_px
    mm_per_px = None if scale is None else scale.width_mm / srgb.shape[1]
    return Figure(
        dark=dark,
        light=light,
        contrast=contrast,
        direction_deg=direction,
        strength=strength,
        curl_px=curl_px,
        curl_mm=None if curl_px is None or mm_per_px is None else curl_px * mm_per_px,
        curl_clarity=0.0 if ripple is None else ripple.clarity,
        word=_word(contrast, strength, ripple),
    )


def _word(contrast: float, strength: float, ripple: Ripple | None) -> FigureWord:
    if ripple is not None:
        return "curly"
    if contrast < LEAST_CONTRAST:
        return "plain"
    return "straight" if strength >= STRAIGHT else "wild"


def _evenly_lit(light: Floats, sample: Mask) -> tuple[Floats, Floats]:
    """Lightness about 0 in an even light, and by what each pixel's light is to be multiplied.

    What falls on the face is taken for a quadratic surface: a window's fall-off, a lens's corners.
    L + 16 goes as the cube root of light (CIE 15), so that what falls is a factor of it.
    """
    down, across = np.ogrid[-1 : 1 : light.shape[0] * 1j, -1 : 1 : light.shape[1] * 1j]
    some = np.zeros_like(sample)
    some[::4, ::4] = True
    some &= sample
    if np.count_nonzero(some) < 100:
        some = sample
    y, x = np.nonzero(some)
    u, v = across[0, x], down[y, 0]
    terms = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=1)
    fit = np.linalg.lstsq(terms, light[some], rcond=None)[0]
    surface = fit[0] + fit[1] * across + fit[2] * down
    surface = surface + fit[3] * across**2 + fit[4] * across * down + fit[5] * down**2
    middle = float(light[sample].mean()) + 16
    lift: Floats = middle / (np.maximum(surface, 0) + 16)
    even: Floats = (light + 16) * lift - middle
    even[~sample] = 0.0
    return even.astype(np.float32), lift**3


def _ends(
    srgb: Srgb, gain: Floats, soft: Floats, sample: Mask
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Lab of the darkest and the lightest tenth of the sample, each pixel's light put right."""
    low, high = np.percentile(soft[sample], [10, 90])
    ends = []
    for part in (sample & (soft <= low), sample & (soft >= high)):
        linear = (LINEAR[srgb[part]] * gain[part][:, None]).mean(axis=0)
        lab = xyz_to_lab(linear @ SRGB_TO_XYZ.T)
        ends.append((float(lab[0]), float(lab[1]), float(lab[2])))
    return ends[0], ends[1]


def _grain(soft: Floats, sample: Mask) -> tuple[float | None, float]:
    """Direction in degrees, None if there is none, and strength.

    Source: Bigün and Granlund 1987; from memory.
    """
    from scipy.ndimage import binary_erosion, gaussian_filter

    inner = binary_erosion(sample, iterations=_EDGE_PX)
    if not inner.any():
        inner = sample
    direction, strength, detail = _coherence(soft, inner)
    fibres = soft
    for _ in range(2):  # twice, or a strong ripple still outweighs fine fibres
        fibres = fibres - gaussian_filter(fibres, _FIBRE_PX)
    fibre_direction, fibre_strength, fibre_detail = _coherence(fibres, inner)
    if fibre_strength >= _FIBRE_STRENGTH and fibre_detail >= _LEAST_FIBRES * detail:
        apart = abs((fibre_direction - direction + 90) % 180 - 90)
        strength = fibre_strength if apart > 45 else max(strength, fibre_strength)
        direction = fibre_direction
    return (direction if strength >= LEAST_STRENGTH else None), strength


def _coherence(light: Floats, where: Mask) -> tuple[float, float, float]:
    """Of the mean structure tensor: direction of least change in degrees, coherence, trace."""
    from scipy.ndimage import sobel

    slopes = (sobel(light, axis, mode="nearest")[where] for axis in (0, 1))
    y, x = (slope.astype(np.float64) for slope in slopes)
    down, mixed, across = float(np.mean(y * y)), float(np.mean(x * y)), float(np.mean(x * x))
    steepest = 0.5 * np.arctan2(2 * mixed, across - down)  # clockwise, for y points down
    detail = across + down
    strength = float(np.hypot(across - down, 2 * mixed) / detail) if detail > 1e-12 else 0.0
    direction = float((90 - np.degrees(steepest)) % 180)
    return (direction if direction < 180 else 0.0), strength, detail  # -1e-15 % 180 is 180
