"""Leaving out where the lamp or the window shines back from a polished face."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from brief.errors import ImageError
from brief.photo.lightness import LINEAR, Mask, Srgb, as_srgb, fits, lightness

# Our own working figures. Brighter than the sample by this much L, and by this many of its own
# spreads, so that a lively figure is not taken for glare.
_BRIGHTER = 15.0
_SPREADS = 4.0
_NEUTRAL = 0.7  # least channel of the added light over its greatest; 1 is white
_CLIPPED = 250  # level from which a channel says only "at least this much"
_HALO = 0.01  # of the longest side
_ENOUGH = 50_000  # pixels, evenly taken, to find a median


def without_glare(picture: Image.Image | Srgb, mask: Mask | None = None) -> Mask:
    """The mask less the specular highlights.

    Parameters
    ----------
    picture : Image or ndarray of uint8, shape (h, w, 3)
        Upright sRGB.
    mask : ndarray of bool, shape (h, w), optional
        Where to look; the whole picture without one.

    Returns
    -------
    ndarray of bool, shape (h, w)

    Raises
    ------
    ImageError
        As `as_srgb`, on a mask of another shape, and where nothing is left.

    Notes
    -----
    A highlight is the colour of the light laid over the colour of the wood. So a pixel is glare
    where it is lighter than the median of the sample by 15 L and by 4 robust standard deviations,
    and what it has more than the median, in linear light, is near white: its least channel at least
    0.7 of its greatest, clipped channels apart. The 1 % of the picture's side around it goes too.
    Pale sapwood stays: what it has more is not white. An even sheen over the whole face cannot be
    told from a paler wood and stays as well.

    References
    ----------
    The dichromatic reflection model: Shafer (1985), doi:10.1002/col.5080100409. The limits are
    ours.
    """
    from scipy.ndimage import distance_transform_edt

    srgb = as_srgb(picture)
    sample = fits(mask, srgb)
    light = lightness(srgb)
    some = light[sample]
    some = some[:: max(1, some.size // _ENOUGH)]
    typical = np.median(some)
    spread = 1.4826 * np.median(np.abs(some - typical))  # of a normal distribution
    glare = sample & (light > typical + max(_BRIGHTER, _SPREADS * spread))
    if not glare.any():
        return sample
    bright = srgb[glare]
    more = LINEAR[bright] - [_median_light(srgb[..., channel][sample]) for channel in range(3)]
    clipped = bright >= _CLIPPED
    least = np.where(clipped, np.inf, more).min(axis=-1)
    greatest = np.where(clipped, -np.inf, more).max(axis=-1)
    glare[glare] = least >= _NEUTRAL * greatest
    if not glare.any():
        return sample
    halo = _HALO * max(sample.shape)
    down, across = (np.flatnonzero(glare.any(axis=axis)) for axis in (1, 0))
    around = tuple(
        slice(max(0, places[0] - int(halo)), places[-1] + int(halo) + 1)
        for places in (down, across)
    )
    left: Mask = sample.copy()
    left[around] &= distance_transform_edt(~glare[around]) > halo
    if not left.any():
        raise ImageError(
            "the sample is strewn with glare and nothing of it is left; "
            "photograph the wood with the light from the side"
        )
    return left


def _median_light(levels: NDArray[np.uint8]) -> float:
    """The median of the linear light of many levels."""
    below = np.cumsum(np.bincount(levels, minlength=256))
    return float(LINEAR[np.searchsorted(below, (below[-1] + 1) // 2)])
