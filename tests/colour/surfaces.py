"""Measured surfaces to simulate meters with: reflectances that colour-science ships."""

import numpy as np


def surfaces(reference, step=5):
    """Wavelengths and reflectances, (n,) and (123, n): 24 chart patches, 99 of CIE 224:2017.

    The CIE gives its lamps in steps of 5 nm.
    """
    shape = reference.SpectralShape(380, 780, step)
    chart = reference.SDS_COLOURCHECKERS["BabelColor Average"].values()
    samples = reference.quality.cfi2017.load_TCS_CIE2017(shape)
    patches = [patch.copy().align(shape).values for patch in chart]
    return shape.wavelengths, np.vstack([patches, samples.values.T])


def integrate(reference, reflectances, illuminant, observer, step=5):
    """XYZ of surfaces, (..., 3), and of a perfect diffuser, by summing the CIE tables."""
    shape = reference.SpectralShape(380, 780, step)
    name = {"2": "CIE 1931 2 Degree", "10": "CIE 1964 10 Degree"}[observer]
    matching = reference.MSDS_CMFS[f"{name} Standard Observer"].copy().align(shape).values
    light = reference.SDS_ILLUMINANTS[illuminant].copy().align(shape).values
    weights = matching * light[:, None]
    weights = weights / weights[:, 1].sum()
    return reflectances @ weights, weights.sum(axis=0)
