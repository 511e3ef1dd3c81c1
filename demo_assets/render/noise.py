"""Seeded noise tables that wrap round at their edges, and how to read them anywhere."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import map_coordinates

Array = NDArray[np.float64]
Rng = np.random.Generator


def _frequencies(shape: tuple[int, int]) -> tuple[Array, Array]:
    """Cycles per pixel down and across, laid out as rfft2 does."""
    return np.fft.fftfreq(shape[0])[:, None], np.fft.rfftfreq(shape[1])[None, :]


def _shaped(rng: Rng, shape: tuple[int, int], gain: Array) -> Array:
    """White noise passed through a gain in the frequency domain: mean 0, deviation 1."""
    spectrum = np.fft.rfft2(rng.standard_normal(shape)) * gain
    spectrum[0, 0] = 0.0
    table = np.fft.irfft2(spectrum, s=shape)
    return table / table.std()


def grain(rng: Rng, shape: tuple[int, int], down: float, across: float) -> Array:
    """Gaussian noise, `down` and `across` pixels smooth: streaks where the two differ."""
    f_y, f_x = _frequencies(shape)
    return _shaped(rng, shape, np.exp(-2 * np.pi**2 * ((f_y * down) ** 2 + (f_x * across) ** 2)))


def clouds(
    rng: Rng, shape: tuple[int, int], slope: float = 1.9, stretch: float = 1.0, coarsest: float = 1
) -> Array:
    """Fractal noise; `stretch` > 1 draws it out sideways, `coarsest` cycles fit the height."""
    f_y, f_x = _frequencies(shape)
    f = np.hypot(f_y, f_x * stretch) * shape[0]
    return _shaped(rng, shape, np.maximum(f, coarsest) ** -slope)


def at(table: Array, y: Array, x: Array) -> Array:
    """The table read at fractional pixel positions, wrapping round."""
    return map_coordinates(table, [y, x], order=1, mode="grid-wrap")


def ramp(low: float | Array, high: float | Array, value: Array) -> Array:
    """0 below `low`, 1 above `high`, an even S between."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3 - 2 * t)


def mix(a: Array, b: Array, share: Array) -> Array:
    """From colour `a` to colour `b`; `share` has no colour axis."""
    return a + (b - a) * share[..., None]
