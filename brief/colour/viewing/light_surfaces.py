"""Surfaces of which the reflectance is known, and what becomes of them in a light.

The matrices of the lights are fitted to them. Only `light_tables` and tests ask for them: they need
colour-science, and SciPy.
"""

from __future__ import annotations

from functools import cache
from itertools import product
from typing import Any

import numpy as np

from brief.colour.reference_library import colour_science
from brief.colour.spaces import D65_WHITE, XYZ_TO_SRGB, Array, lab_to_xyz
from brief.colour.viewing.spectra import smooth_reflectance

CHART = "ISO 17321-1"  # reflectances of a 24-patch chart
# Where the woods of instruments are, from spruce and maple to ebony, CIELAB, D65 / 2°: common
# practice, no source. No open set of spectra of timbers is known, so theirs are made up.
WOOD_LIGHTNESS = (25, 40, 55, 70, 85)
WOOD_HUE_DEG = (45, 58, 71, 84)
WOOD_CHROMA = (0.15, 0.35, 0.55)  # of the lightness: dark woods are greyer


def surface_sets() -> dict[str, Array]:
    """Reflectances at `WAVELENGTHS`, 0 to 1, by set.

    Returns
    -------
    dict of str to ndarray, shape (n, 81)
        "chart": the 24 patches of ISO 17321-1. "samples": the 99 of CIE 224:2017, of nature, skin,
        textiles, paints, plastics, prints. "woods": 60 smooth spectra of the colours of timber.
    """
    science = colour_science()
    shape = science.SpectralShape(380, 780, 5)
    patches = science.SDS_COLOURCHECKERS[CHART].values()
    return {
        "chart": np.array([patch.copy().align(shape).values for patch in patches]),
        "samples": science.quality.cfi2017.load_TCS_CIE2017(shape).values.T,
        "woods": _woods(),
    }


def linear_in(reflectances: Array, spectrum: Any) -> Array:
    """Surfaces in a light, adapted to daylight, as linear sRGB.

    Parameters
    ----------
    reflectances : ndarray, shape (n, 81)
    spectrum : SpectralDistribution of colour-science

    Returns
    -------
    ndarray, shape (n, 3)
        Not clipped.

    References
    ----------
    Summed up for the CIE 1931 2° observer; adapted by CAT16 (Li et al. 2017), fully.
    """
    bands, white = sums(spectrum)
    linear: Array = reflectances @ bands @ adapted(white).T @ XYZ_TO_SRGB.T
    return linear


def sums(spectrum: Any) -> tuple[Array, Array]:
    """What turns reflectances at `WAVELENGTHS` into XYZ, shape (81, 3), and the white, Y = 1."""
    science = colour_science()
    shape = science.SpectralShape(380, 780, 5)
    observer = science.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    power = spectrum.copy().align(shape).values[:, np.newaxis] * observer
    bands: Array = power / power[:, 1].sum()
    return bands, bands.sum(axis=0)


def adapted(white: Array) -> Array:
    """The matrix from XYZ under that white to XYZ in D65, CAT16 (Li et al. 2017), shape (3, 3)."""
    matrix: Array = colour_science().adaptation.matrix_chromatic_adaptation_VonKries(
        white, D65_WHITE, transform="CAT16"
    )
    return matrix


def daylight() -> Any:
    """The spectrum of CIE D65."""
    return colour_science().SDS_ILLUMINANTS["D65"]


@cache
def _woods() -> Array:
    labs = [
        (lightness, c * lightness * np.cos(h), c * lightness * np.sin(h))
        for lightness, h, c in product(WOOD_LIGHTNESS, np.radians(WOOD_HUE_DEG), WOOD_CHROMA)
    ]
    return np.array([smooth_reflectance(tuple(lab_to_xyz(np.array(one)))) for one in labs])
