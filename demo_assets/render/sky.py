"""The morning sky and the still water that repeats it, in linear light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from demo_assets.render.noise import Array, Rng, at, clouds, mix, ramp

TABLE = (1024, 1024)


@dataclass(frozen=True)
class Sky:
    """Light by height above the horizon (in frame heights) and place across the frame (0 to 1)."""

    heights: tuple[float, ...]
    colours: tuple[tuple[float, float, float], ...]
    glow: tuple[float, float, float]
    glow_x: float
    glow_reach: float
    cloud: Array
    cloud_amount: float

    def light(self, height: Array, x: Array) -> Array:
        """Linear RGB, shape of `height` with a colour axis."""
        h = np.abs(height)
        bands = np.array(self.colours)
        colour = PchipInterpolator(self.heights, bands)(np.minimum(h, self.heights[-1]))
        off = np.hypot((x - self.glow_x) * 1.15, h * 1.9)
        near = np.exp(-((off / self.glow_reach) ** 1.3))
        colour = colour + near[..., None] * np.array(self.glow)
        # Cloud lies in a level sheet, so it crowds together toward the horizon.
        far = 1 / (h + 0.12)
        sheet = at(self.cloud, far * 130, (x - 0.5) * far * 330 + 300)
        veil = ramp(-0.3, 1.7, sheet) * self.cloud_amount * ramp(0.01, 0.10, h)
        # Undersides are in shade, save where the coming sun reaches in beneath them.
        reached = np.exp(-((off / (2.2 * self.glow_reach)) ** 1.6))[..., None]
        lit = colour * 0.66 + 0.03 + reached * np.array(self.glow) * [0.62, 0.72, 1.5]
        return mix(colour, lit, veil)


def dawn(rng: Rng, glow_x: float = 0.34) -> Sky:
    """First light: slate overhead, a pale band, apricot where the sun will come."""
    return Sky(
        heights=(0.0, 0.05, 0.12, 0.22, 0.34, 0.6),
        colours=(
            (0.52, 0.36, 0.27),
            (0.55, 0.41, 0.32),
            (0.48, 0.43, 0.39),
            (0.36, 0.38, 0.40),
            (0.235, 0.277, 0.327),
            (0.13, 0.17, 0.225),
        ),
        glow=(0.52, 0.25, 0.06),
        glow_x=glow_x,
        glow_reach=0.30,
        cloud=clouds(rng, TABLE, slope=1.6, stretch=2.2, coarsest=5),
        cloud_amount=0.75,
    )


def overcast(rng: Rng) -> Sky:
    """A grey still morning, a little green in it, lighter low down."""
    return Sky(
        heights=(0.0, 0.1, 0.3, 0.6, 1.0),
        colours=(
            (0.50, 0.49, 0.43),
            (0.47, 0.48, 0.44),
            (0.36, 0.39, 0.38),
            (0.25, 0.29, 0.29),
            (0.17, 0.21, 0.22),
        ),
        glow=(0.16, 0.11, 0.05),
        glow_x=0.62,
        glow_reach=0.45,
        cloud=clouds(rng, TABLE, slope=1.6, stretch=2.0, coarsest=5),
        cloud_amount=0.6,
    )


@dataclass(frozen=True)
class Ground:
    """Where each pixel of a frame meets a level plain seen from `eye_m` above it."""

    shape: tuple[int, int]
    horizon: float
    eye_m: float

    @property
    def lens(self) -> float:
        """The focal length, pixels."""
        return 0.9 * self.shape[1]

    def below(self) -> tuple[Array, Array]:
        """Pixel rows and columns as arrays."""
        y, x = np.mgrid[0 : self.shape[0], 0 : self.shape[1]].astype(np.float64)
        return y, x

    def reach(self, drop_m: float = 0.0) -> tuple[Array, Array]:
        """Metres across and away, on a plane `drop_m` lower than the plain."""
        y, x = self.below()
        fall = np.maximum(y - self.horizon * self.shape[0], 0.5)
        away = (self.eye_m + drop_m) * self.lens / fall
        return (x - self.shape[1] / 2) * away / self.lens, away

    def height(self) -> Array:
        """Frame heights above the horizon; what lies below it is what still water mirrors."""
        y, _ = self.below()
        return (self.horizon * self.shape[0] - y) / self.shape[0]
