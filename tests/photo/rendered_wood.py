"""Wood drawn from known numbers, photographed by a known camera: what the measurements are held to.

Nothing here is taken from the code under test but the sRGB curve.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, gaussian_filter1d, map_coordinates

from brief.colour import linear_to_srgb

Floats = NDArray[np.float64]
Srgb = NDArray[np.uint8]
Point = tuple[float, float]

WOOD = np.array([0.52, 0.33, 0.17])  # linear RGB of early wood: a mid-brown softwood
_FINE_MM = 0.01


@dataclass(frozen=True)
class Camera:
    """How the wood is photographed.

    noise : standard deviation of the sensor's noise, of 0 to 1 in sRGB. blur_px : of the lens.
    light : how much brighter one corner is than the middle (and the other darker), share.
    quality : of the JPEG; None for a picture not compressed.
    """

    noise: float = 0.008
    blur_px: float = 0.7
    light: float = 0.0
    quality: int | None = 90

    def shoot(self, linear: Floats, seed: int = 0) -> Srgb:
        """The file's pixels, shape (h, w, 3), of a scene in linear light, shape (h, w, 3)."""
        height, width = linear.shape[:2]
        across = np.linspace(-1, 1, width)[None, :]
        down = np.linspace(-1, 1, height)[:, None]
        lit = linear * (1 + self.light * (0.8 * across + 0.6 * down))[..., None]
        soft = gaussian_filter(lit, (self.blur_px, self.blur_px, 0))
        srgb = linear_to_srgb(np.clip(soft, 0, 1))
        srgb = srgb + self.noise * np.random.default_rng(seed).standard_normal(srgb.shape)
        pixels = np.round(np.clip(srgb, 0, 1) * 255).astype(np.uint8)
        if self.quality is None:
            return pixels
        file = BytesIO()
        Image.fromarray(pixels).save(file, "JPEG", quality=self.quality)
        return np.asarray(Image.open(file).convert("RGB"))


@dataclass(frozen=True)
class Board:
    """A quartersawn board, its growth rings and its curl.

    ring_mm : mean ring width. uneven : standard deviation of the logarithm of the widths, which
        run together over the years. outward : how many times as wide half a reach further out.
    contrast : how much darker late wood is, share. fibres : contrast of the streaks along the
        grain. ripple, ripple_mm : contrast of the curl, and from one to the next along the grain.
    angle_deg : direction of the grain, anticlockwise from the picture's width.
    bend_mm : how far the grain wanders sideways, over 60 mm.
    """

    ring_mm: float = 1.5
    uneven: float = 0.2
    outward: float = 1.0
    contrast: float = 0.35
    fibres: float = 0.03
    ripple: float = 0.0
    ripple_mm: float = 8.0
    angle_deg: float = 90.0
    bend_mm: float = 0.0
    px_per_mm: float = 8.0
    size: tuple[int, int] = (900, 500)  # width, height
    seed: int = 1
    camera: Camera = field(default_factory=Camera)

    @property
    def size_mm(self) -> tuple[float, float]:
        return self.size[0] / self.px_per_mm, self.size[1] / self.px_per_mm

    def grain(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Position across and along the grain, mm, of points in pixels."""
        turn = np.radians(self.angle_deg)
        x_mm = (x - self.size[0] / 2) / self.px_per_mm
        y_mm = (self.size[1] / 2 - y) / self.px_per_mm
        along = x_mm * np.cos(turn) + y_mm * np.sin(turn)
        across = x_mm * np.sin(turn) - y_mm * np.cos(turn)
        return across + self.bend_mm * np.sin(along / 60 * 2 * np.pi), along

    def ring_ends(self) -> Floats:
        """Where each ring ends, mm across the grain."""
        rng = np.random.default_rng(self.seed)
        reach = 2 * float(np.hypot(*self.size)) / self.px_per_mm
        year, years = 0.0, []
        for kick in rng.standard_normal(int(3 * reach / self.ring_mm) + 20):
            year = 0.6 * year + 0.8 * kick
            years.append(year)
        widths = np.exp(self.uneven * np.array(years))
        out = (np.arange(widths.size) - widths.size / 2) / (reach / 2 / self.ring_mm)
        widths *= self.outward ** np.clip(out, -1, 1)
        widths *= self.ring_mm / widths.mean()
        return np.cumsum(widths) - reach / 2

    def across_at(self, point: Point) -> float:
        """Position across the grain, mm, of a point in percent of the picture."""
        x, y = (np.array(part * size / 100) for part, size in zip(point, self.size, strict=True))
        return float(self.grain(x, y)[0])

    def ring_ends_between(self, start: Point, end: Point) -> Floats:
        """The ring ends that a line between two points in percent of the picture crosses."""
        low, high = sorted((self.across_at(start), self.across_at(end)))
        ends = self.ring_ends()
        return ends[(ends > low) & (ends < high)]

    def photograph(self) -> Srgb:
        """The picture, uint8 sRGB, shape (h, w, 3)."""
        rng = np.random.default_rng(self.seed + 1000)
        width, height = self.size
        y, x = np.mgrid[0:height, 0:width] + 0.5
        u, v = self.grain(x, y)
        dark = np.interp(u, *self._late_wood(u.min() - 2, u.max() + 2, rng))
        shade = 1 - self.contrast * dark
        shade += self.fibres * self._streaks(u, v, rng)
        shade += self.ripple * np.sin(2 * np.pi * v / self.ripple_mm)
        return self.camera.shoot(WOOD * shade[..., None], self.seed)

    def _late_wood(self, low: float, high: float, rng: np.random.Generator) -> tuple[Floats, ...]:
        """Places in mm and how dark they are, 0 to about 1; as sharp as a square pixel sees it."""
        ends = self.ring_ends()
        fine = np.arange(low, high, _FINE_MM)
        ring = np.clip(np.searchsorted(ends, fine), 1, len(ends) - 1)
        age = 1 - (ends[ring] - fine) / np.diff(ends, prepend=ends[0] - self.ring_mm)[ring]
        # Late wood is the last quarter of the year, and stops at once.
        late = np.clip((age - 0.72) / 0.28, 0, 1) ** 1.2 + 0.15 * np.clip(age, 0, 1)
        late *= 1 + 0.15 * rng.standard_normal(len(ends))[ring]
        return fine, gaussian_filter1d(late, 12**-0.5 / self.px_per_mm / _FINE_MM)

    def _streaks(self, u: Floats, v: Floats, rng: np.random.Generator) -> Floats:
        """Fibres: noise 0.15 mm wide and 6 mm long, deviation 1."""
        down, across = ((part - part.min()) * self.px_per_mm + 20 for part in (v, u))
        table = rng.standard_normal((int(down.max()) + 20, int(across.max()) + 20))
        table = gaussian_filter(table, (3 * self.px_per_mm, 0.075 * self.px_per_mm))
        return map_coordinates(table / table.std(), [down, across], order=1, mode="nearest")


def stained(pattern: Floats, contrast: float = 0.15, camera: Camera | None = None) -> Srgb:
    """A photograph of wood as dark and light as a pattern, shape (h, w), taken to deviation 1."""
    even = (pattern - pattern.mean()) / max(float(pattern.std()), 1e-9)
    shade = np.clip(1 + contrast * even, 0.05, 1.9)
    return (camera or Camera()).shoot(WOOD * shade[..., None])


def burl(shape: tuple[int, int], seed: int, lines: float) -> Floats:
    """Contour lines of a hilly field: eyes and swirls, no one direction."""
    rng = np.random.default_rng(seed)
    hills = gaussian_filter(rng.standard_normal(shape), 40)
    knots = gaussian_filter(rng.standard_normal(shape), 15)
    return np.sin(lines * (hills / hills.std() + knots / knots.std() / 6))


def crotch(shape: tuple[int, int], seed: int) -> Floats:
    """The plume where the wood of two limbs meets: stripes that bend down to a spine."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    along = y + 60 * np.sqrt(((x - shape[1] / 2) / 60) ** 2 + 0.3)
    stripes = gaussian_filter1d(rng.standard_normal(int(along.max()) + 50), 4)
    return np.interp(along, np.arange(stripes.size), stripes)


def streaks(shape: tuple[int, int], seed: int, width_px: float) -> Floats:
    """Upright streaks that fell by chance: grain without growth rings."""
    rng = np.random.default_rng(seed)
    return np.tile(gaussian_filter1d(rng.standard_normal(shape[1]), width_px), (shape[0], 1))


def grating(shape: tuple[int, int], period_px: float, angle_deg: float) -> Srgb:
    """A grey sine wave, its stripes running at an angle, anticlockwise from the width."""
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    turn = np.radians(angle_deg)
    wave = np.sin(2 * np.pi * (x * np.sin(turn) + y * np.cos(turn)) / period_px)
    return np.repeat(np.round(128 + 60 * wave).astype(np.uint8)[..., None], 3, axis=2)
