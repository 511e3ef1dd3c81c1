"""From a reflectance spectrum to CIELAB, D65 / 2°."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.notation.adaptation import MeterReading
from brief.colour.spaces import Array, as_numbers, xyz_to_lab
from brief.errors import ColourInputError

BANDS_NM = np.arange(340, 831, 10)  # the bands that colormath's tables hold
FIRST_NM, LAST_NM = 400.0, 700.0  # what must have been measured
USUAL_STEP_NM, COARSEST_STEP_NM = 10.0, 20.0
HIGHEST = 1.5  # a brightened white gives back more than it gets in the blue
# CIEDE2000 that 95 in 100 of the 24 chart patches and the 99 samples of CIE 224:2017 stay within
# when only every second band is kept. Rounded up to 0.1.
COARSE_UNCERTAINTY = 0.2


def spectrum_to_lab(wavelengths_nm: ArrayLike, reflectance: ArrayLike) -> MeterReading:
    """CIELAB, D65 / 2°, of a surface by its reflectance.

    Parameters
    ----------
    wavelengths_nm : array_like, shape (n,), increasing, from 400 or below to 700 or beyond
        In even steps of at most 20 nm.
    reflectance : array_like, shape (n,), 0 to 1.5; 1 = a perfect diffuser

    Returns
    -------
    MeterReading
        With a note and an uncertainty where the steps were wider than 10 nm.

    Raises
    ------
    ColourInputError
        If bands are missing between 400 and 700 nm (it names them), the steps are too wide, or a
        number is not finite or outside its range.

    Notes
    -----
    The bands are brought to steps of 10 nm by cubic interpolation (Lagrange, as CIE 15:2004
    recommends) and held at the first and last beyond those (as in ASTM E308); then colormath
    sums them up. A perfect diffuser summed up the same way is the white.

    Examples
    --------
    >>> spectrum_to_lab([400, 420, 440, 460, 480, 500, 520, 540, 560, 580, 600, 620, 640, 660,
    ...     680, 700], [0.25] * 16).lab[0].__round__(3)
    57.075
    """
    nm, values = _numbers(wavelengths_nm, "wavelengths"), _numbers(reflectance, "reflectances")
    if nm.shape != values.shape or nm.size < 2 or not (np.diff(nm) > 0).all():
        raise ColourInputError(
            "a spectrum must be one reflectance for each of at least 2 increasing wavelengths; "
            f"got {nm.size} wavelengths and {values.size} reflectances"
        )
    outside = (values < 0) | (values > HIGHEST)
    if outside.any():
        raise ColourInputError(
            f"a reflectance must lie between 0 and {HIGHEST} (1 = all light comes back); "
            f"got {values[outside][0]:g} at {nm[outside][0]:g} nm"
        )
    step = _even_step(nm)
    bands = np.maximum(_lagrange(np.clip(BANDS_NM, nm[0], nm[-1]), nm, values), 0)
    L, a, b = xyz_to_lab(_xyz(bands), _white()).tolist()
    lab = (min(max(L, 0.0), 100.0), a, b)
    if step <= USUAL_STEP_NM:
        return MeterReading(lab)
    return MeterReading(
        lab,
        COARSE_UNCERTAINTY,
        f"The spectrum comes in steps of {step:g} nm; what lies between was interpolated.",
    )


def _numbers(values: ArrayLike, name: str) -> Array:
    numbers = as_numbers(values, name)
    if numbers.ndim != 1 or not np.isfinite(numbers).all():
        raise ColourInputError(
            f"{name} must be one row of finite numbers; got shape {numbers.shape}"
        )
    return numbers


def _even_step(nm: Array) -> float:
    """The step of the bands in nm, or ColourInputError that names what is missing."""
    inside = (nm[1:] > FIRST_NM) & (nm[:-1] < LAST_NM)
    gaps = np.diff(nm)[inside]
    step = float(gaps.min()) if gaps.size else USUAL_STEP_NM
    missing = [
        *np.arange(FIRST_NM, nm[0], step),
        *np.arange(nm[-1] + step, LAST_NM + step, step),
    ]
    # Steps of 3.3 nm, written in whole nanometres, are 3 and 4: uneven, and nothing is missing.
    for low, high in zip(nm[:-1][inside], nm[1:][inside], strict=True):
        missing += [*np.arange(low + step, high - step / 2, step)] if high - low > step else []
    if missing:
        names = ", ".join(f"{band:g}" for band in sorted(missing)[:8])
        more = f" and {len(missing) - 8} more" if len(missing) > 8 else ""
        raise ColourInputError(
            f"a spectrum needs every band from {FIRST_NM:g} to {LAST_NM:g} nm; "
            f"missing: {names} nm{more}"
        )
    if step > COARSEST_STEP_NM:
        raise ColourInputError(
            f"a spectrum needs steps of at most {COARSEST_STEP_NM:g} nm; got {step:g} nm"
        )
    return float(gaps.max())


def _lagrange(at: Array, nm: Array, values: Array) -> Array:
    """Values at other wavelengths, each from the cubic through the four bands around it."""
    around = np.clip(np.searchsorted(nm, at) - 2, 0, nm.size - 4)[:, None] + np.arange(4)
    points = nm[around]
    weights = np.ones_like(points)
    for k in range(4):
        for j in range(4):
            if j != k:
                weights[:, k] *= (at - points[:, j]) / (points[:, k] - points[:, j])
    between: Array = (weights * values[around]).sum(axis=-1)
    return between


def _xyz(bands: Array) -> Array:
    from brief.colour.libraries import SpectralColor, XYZColor, convert_color

    colour = SpectralColor(*bands, observer="2", illuminant="d65")
    return np.array(convert_color(colour, XYZColor).get_value_tuple())


@cache
def _white() -> Array:
    return _xyz(np.ones(BANDS_NM.size))
