"""Spectra: of the lights that verdicts know, and of a surface of which only its colour is known.

All are in 81 bands of 5 nm from 380 to 780 nm, for the CIE 1931 2° observer.
"""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.spaces import Array, as_one_colour, lab_to_xyz
from brief.colour.viewing.light import Light, lamp_weights
from brief.colour.viewing.optimal_colours import daylight_bands

WAVELENGTHS = np.arange(380, 781, 5)  # nm


def power_of(lit_by: Light) -> Array:
    """What a light gives in each band, shape (81,), such that a perfect diffuser has Y = 1.

    One of which only kelvin and Ra are known is blended of published lights, the nearer the more,
    by the weights of `brief.colour.viewing.light.lamp`.
    """
    known = _powers()
    if lit_by.key in known:
        return _with_y_1(known[lit_by.key])
    weights = lamp_weights(lit_by.kelvin, lit_by.rendering)
    return _with_y_1(sum((w * _with_y_1(known[key]) for key, w in weights.items()), np.zeros(81)))


def bands_under(lit_by: Light) -> Array:
    """XYZ of each band of a perfect diffuser in that light, shape (81, 3).

    They sum to its white, whose Y is 1.
    """
    bands: Array = _observer() * power_of(lit_by)[:, np.newaxis]
    return bands


def reflectance_of(lab: ArrayLike) -> Array:
    """A smooth reflectance of a surface of that colour, shape (81,), 0 to 1.

    Parameters
    ----------
    lab : three floats
        CIELAB, D65 / 2°. One that no such spectrum has, such as beyond white, gets the nearest.

    Raises
    ------
    ColourInputError
        If it is not three finite numbers.

    References
    ----------
    The sigmoid of a parabola (Jakob and Hanika 2019, doi:10.1111/cgf.13626), which has no more
    than one hump or hollow: an estimate, one of the many spectra of that colour.
    """
    # The bands' own white differs from sRGB's in the fourth digit.
    xyz = lab_to_xyz(as_one_colour(lab, "lab"), daylight_bands().sum(axis=0))
    return smooth_reflectance(tuple(round(float(value), 9) for value in xyz))


@cache
def smooth_reflectance(xyz: tuple[float, ...]) -> Array:
    """As `reflectance_of`, of the XYZ that a surface has in those bands of daylight."""
    from scipy.optimize import least_squares

    along = (WAVELENGTHS - 380) / 400
    powers = np.stack([along**2, along, np.ones_like(along)])
    bands, wanted = daylight_bands(), np.array(xyz)

    def spectrum(coefficients: Array) -> Array:
        bent: Array = coefficients @ powers
        sigmoid: Array = 0.5 + bent / (2 * np.sqrt(1 + bent**2))
        return sigmoid

    # Weighed by the slope of a cube root, as eyes weigh dark colours.
    weights = 1 / np.maximum(np.cbrt(np.maximum(wanted, 1e-4)) ** 2, 1e-3)
    grey = np.clip(wanted[1], 1e-3, 1 - 1e-3)
    start = (2 * grey - 1) / (2 * np.sqrt(grey * (1 - grey)))
    found = least_squares(
        lambda c: (spectrum(c) @ bands - wanted) * weights, [0.0, 0.0, start], xtol=1e-12
    )
    made = spectrum(found.x)
    made.setflags(write=False)  # every caller gets the same array
    return made


def _with_y_1(power: Array) -> Array:
    scaled: Array = power / float(power @ _observer()[:, 1])
    return scaled


@cache
def _observer() -> Array:
    """The observer, shape (81, 3), by what daylight makes of each band."""
    observer: Array = daylight_bands() / _powers()["D65"][:, np.newaxis]
    return observer


@cache
def _powers() -> dict[str, Array]:
    text = files("brief.colour.viewing").joinpath("spectra.json").read_text(encoding="utf-8")
    return {row["key"]: np.array(row["power"], dtype=float) for row in json.loads(text)}
