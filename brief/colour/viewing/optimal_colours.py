"""Which colours a real surface can have in daylight: those within the MacAdam limits.

A surface that does not glow gives back between none and all of the light of each wavelength. All
that can come of this fill a convex body in XYZ, whose skin are the optimal colours (Schrödinger
1920, MacAdam 1935). Summed up over bands it is a zonotope: each of its faces lies along two bands,
so that a colour is inside if, along the normal of every two, it lies within what the bands
together can reach.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.spaces import Array, as_colours, lab_to_xyz

SLACK = 5e-4  # of white, in XYZ: more than is lost where a reading is written to a hundredth


def is_real_surface(labs: ArrayLike) -> NDArray[np.bool_]:
    """Whether a surface could have these colours.

    Parameters
    ----------
    labs : array_like, shape (..., 3)
        CIELAB, D65 / 2°.

    Returns
    -------
    ndarray of bool, shape (...)
        A surface that glows (fluoresces) or shines can be outside, and so can a mistyped reading.

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.

    References
    ----------
    MacAdam (1935), The theory of the maximum visual efficiency of colored materials, J. Opt. Soc.
    Am. 25(8), 249-252; CIE 1931 observer and D65 in bands of 5 nm from 380 to 780 nm.

    Examples
    --------
    >>> is_real_surface([[36, 9, 9], [100, 0, 0], [36, 9, 90]]).tolist()
    [True, True, False]
    """
    colours = as_colours(labs, "labs")
    normals, least, most = _faces()
    # The bands' own white, which differs from sRGB's in the fourth digit, is the tip of the body.
    along = lab_to_xyz(colours, daylight_bands().sum(axis=0)) @ normals.T
    within = (along >= least - SLACK) & (along <= most + SLACK)
    return np.asarray(within.all(axis=-1))


@cache
def daylight_bands() -> Array:
    """XYZ of each band of 5 nm of a perfect diffuser in daylight, shape (81, 3)."""
    text = files("brief.colour.viewing").joinpath("daylight.json").read_text(encoding="utf-8")
    bands = np.array(json.loads(text))
    bands.setflags(write=False)  # every caller gets the same array
    return bands


@cache
def _faces() -> tuple[Array, Array, Array]:
    """Unit normals, shape (n, 3), and the least and the most that is reached along each."""
    bands = daylight_bands()
    one, two = np.triu_indices(len(bands), 1)
    normals = np.cross(bands[one], bands[two])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    # Bands at the ends of the spectrum point the same way but for rounding: they make no face.
    apart = lengths[:, 0] > 1e-9 * np.linalg.norm(bands[one], axis=1) * np.linalg.norm(
        bands[two], axis=1
    )
    normals = normals[apart] / lengths[apart]
    reached = normals @ bands.T
    return normals, np.minimum(reached, 0).sum(axis=1), np.maximum(reached, 0).sum(axis=1)
