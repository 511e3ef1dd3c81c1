"""What a board is made of: rings, fibres, pores, rays and the figure light draws on them.

A board knows its size in millimetres. Structure is laid down in grain coordinates, u across
the fibres and v along them (mm), so whatever bends u and v bends the whole timber with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from demo_assets.render.noise import Array, Rng, at, grain

RING_STEP_MM = 0.05


@dataclass(frozen=True)
class Rings:
    """Growth along a radius: `late` 0 in early wood to 1 in late wood, `tint` ring by ring."""

    late: Array
    tint: Array

    def read(self, radius_mm: Array) -> tuple[Array, Array]:
        """Late wood and tint at each radius."""
        step = np.arange(len(self.late)) * RING_STEP_MM
        return np.interp(radius_mm, step, self.late), np.interp(radius_mm, step, self.tint)


def grow(
    rng: Rng, reach_mm: float, ring_mm: float, uneven: float, late_share: float, soft_mm: float
) -> Rings:
    """Rings out to `reach_mm`, thick and thin years running together as weather does.

    `soft_mm` blurs the rings to what the lens resolves, so that fine ones do not alias.
    """
    count = int(reach_mm / ring_mm * 1.6) + 8
    year, years = 0.0, []
    for kick in rng.standard_normal(count):
        year = 0.75 * year + 0.66 * kick
        years.append(year)
    widths = ring_mm * np.exp(uneven * np.array(years))
    edges = np.concatenate([[0.0], np.cumsum(widths)])
    r = np.arange(int(reach_mm / RING_STEP_MM)) * RING_STEP_MM
    ring = np.searchsorted(edges, r, side="right") - 1
    t = (r - edges[ring]) / widths[ring]
    # Early wood thickens slowly, late wood fast; the drop at the year's end is sheer.
    rise = np.clip((t - (1 - late_share)) / late_share, 0, 1)
    late = 0.18 * t**2 + 0.82 * rise**1.3
    tints = 0.6 * np.array(years) * -1 + 0.8 * rng.standard_normal(count)
    sigma = soft_mm / RING_STEP_MM
    kernel = np.exp(-0.5 * (np.arange(-int(3 * sigma) - 1, int(3 * sigma) + 2) / sigma) ** 2)
    kernel /= kernel.sum()
    return Rings(np.convolve(late, kernel, "same"), np.convolve(tints[ring], kernel, "same"))


class Board:
    """A board filling the frame, grain upright: `shape` pixels (down, across), `width_mm` wide."""

    def __init__(self, seed: int, shape: tuple[int, int], width_mm: float) -> None:
        self.rng = np.random.default_rng(seed)
        self.shape = shape
        self.scale = shape[1] / width_mm
        y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float64)
        self.x, self.y = x / self.scale, y / self.scale

    def patches(self, along_mm: float, across_mm: float) -> Array:
        """Smooth blotches of about this size over the face."""
        return grain(self.rng, self.shape, along_mm * self.scale, across_mm * self.scale)

    def streaks(self, u: Array, v: Array, along_mm: float, across_mm: float) -> Array:
        """Noise drawn out along the fibres."""
        return at(self.patches(along_mm, across_mm), v * self.scale, u * self.scale)

    def dashes(
        self, u: Array, v: Array, length_mm: float, width_mm: float, per_cm2: float
    ) -> Array:
        """Scattered short marks along the fibres, 0 to 1: pores, or rays end on."""
        chance = per_cm2 / (10 * self.scale) ** 2
        seeds = (self.rng.random(self.shape) < chance) * self.rng.uniform(0.4, 1.0, self.shape)
        down, across = length_mm * self.scale / 2.5, width_mm * self.scale / 2.5
        f_y = np.fft.fftfreq(self.shape[0])[:, None] * down
        f_x = np.fft.rfftfreq(self.shape[1])[None, :] * across
        gain = np.exp(-2 * np.pi**2 * (f_y**2 + f_x**2))
        table = np.fft.irfft2(np.fft.rfft2(seeds) * gain, s=self.shape)
        table *= 2 * np.pi * max(down, 0.4) * max(across, 0.4)
        return at(np.clip(1.4 * table, 0, 1), v * self.scale, u * self.scale)


def chatoyance(slope: Array, sharp: float) -> Array:
    """How light slides over fibres that dip and rise: -1 to 1, firm where the dip turns."""
    return np.tanh(sharp * slope) / np.tanh(sharp)


def lab(
    base: tuple[float, float, float], *layers: tuple[Array, tuple[float, float, float]]
) -> Array:
    """A base colour and, over it, fields each pulling by its own step in L, a and b."""
    colour = np.asarray(base) + np.zeros((*layers[0][0].shape, 3))
    for field, pull in layers:
        colour = colour + field[..., None] * np.asarray(pull)
    return colour
