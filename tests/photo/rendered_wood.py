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

EARLY = np.array([0.52, 0.33, 0.17])  # linear RGB of early wood: a mid-brown softwood
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

    def shoot(self, linear: Floats, rng: np.random.Generator) -> Srgb:
        """The file's pixels, shape (h, w, 3), of a scene in linear light, shape (h, w, 3)."""
        height, width = linear.shape[:2]
        across = np.linspace(-1, 1, width)[None, :]
        down = np.linspace(-1, 1, height)[:, None]
        lit = linear * (1 + self.light * (0.8 * across + 0.6 * down))[..., None]
        soft = gaussian_filter(lit, (self.blur_px, self.blur_px, 0))
        srgb = linear_to_srgb(np.clip(soft, 0, 1))
        srgb = srgb + self.noise * rng.standard_normal(srgb.shape)
        pixels = np.round(np.clip(srgb, 0, 1) * 255).astype(np.uint8)
        if self.quality is None:
            return pixels
        file = BytesIO()
        Image.fromarray(pixels).save(file, "JPEG", quality=self.quality)
        return np.asarray(Image.open(file).convert("RGB"))


@dataclass(frozen=True)
class Board:
    """A quartersawn board and its growth rings.

    ring_mm : mean ring width. uneven : standard deviation of the logarithm of the widths, which
        run together over the years. contrast : how much darker late wood is, share.
    angle_deg : direction of the grain, anticlockwise from the picture's width.
    bend_mm : how far the grain wanders sideways, over 60 mm. fibres : contrast of the streaks.
    """

    ring_mm: float = 1.5
    uneven: float = 0.2
    contrast: float = 0.35
    angle_deg: float = 90.0
    px_per_mm: float = 8.0
    size: tuple[int, int] = (900, 500)  # width, height
    bend_mm: float = 0.0
    fibres: float = 0.03
    seed: int = 1
    camera: Camera = field(default_factory=Camera)

    def _edges(self) -> Floats:
        """Where each ring ends, mm across the grain."""
        rng = np.random.default_rng(self.seed)
        reach = 2 * np.hypot(*self.size) / self.px_per_mm
        year, years = 0.0, []
        for kick in rng.standard_normal(int(3 * reach / self.ring_mm) + 20):
            year = 0.6 * year + 0.8 * kick
            years.append(year)
        widths = np.exp(self.uneven * np.array(years))
        widths *= self.ring_mm / widths.mean()
        return np.cumsum(widths) - reach / 2

    def across(self, x: Floats, y: Floats) -> Floats:
        """Position across the grain, mm, of a point in pixels."""
        turn = np.radians(self.angle_deg)
        x_mm = (x - self.size[0] / 2) / self.px_per_mm
        y_mm = (self.size[1] / 2 - y) / self.px_per_mm
        along = x_mm * np.cos(turn) + y_mm * np.sin(turn)
        return x_mm * np.sin(turn) - y_mm * np.cos(turn) + self.bend_mm * np.sin(along / 60 * 6.283)

    def rings_between(self, start: tuple[float, float], end: tuple[float, float]) -> int:
        """How many rings end between two points in percent of the picture."""
        ends = [
            self.across(np.array(x * self.size[0] / 100), np.array(y * self.size[1] / 100))
            for x, y in (start, end)
        ]
        edges = self._edges()
        return int(np.count_nonzero((edges > min(ends)) & (edges < max(ends))))

    def mean_width_between(self, start: tuple[float, float], end: tuple[float, float]) -> float:
        """Mean ring width, mm, of the rings wholly between two points in percent."""
        ends = [
            self.across(np.array(x * self.size[0] / 100), np.array(y * self.size[1] / 100))
            for x, y in (start, end)
        ]
        edges = self._edges()
        inside = edges[(edges > min(ends)) & (edges < max(ends))]
        return float(np.diff(inside).mean())

    def photograph(self) -> Srgb:
        """The picture, uint8 sRGB, shape (h, w, 3)."""
        rng = np.random.default_rng(self.seed + 1000)
        width, height = self.size
        y, x = np.mgrid[0:height, 0:width] + 0.5
        u = self.across(x, y)
        edges = self._edges()
        fine = np.arange(u.min() - 2, u.max() + 2, _FINE_MM)
        ring = np.searchsorted(edges, fine)
        widths = np.diff(edges, prepend=edges[0] - self.ring_mm)
        ring = np.clip(ring, 1, len(edges) - 1)
        age = 1 - (edges[ring] - fine) / widths[ring]
        # Late wood is the last quarter of the year, and stops at once.
        late = np.clip((age - 0.72) / 0.28, 0, 1) ** 1.2 + 0.15 * np.clip(age, 0, 1)
        late *= 1 + 0.15 * rng.standard_normal(len(edges))[ring]
        pixel = 0.29 / self.px_per_mm / _FINE_MM  # a square pixel's own blur
        late = gaussian_filter1d(late, pixel)
        dark = np.interp(u, fine, late)
        streaks = _streaks(rng, self, u)
        linear = EARLY * (1 - self.contrast * dark + self.fibres * streaks)[..., None]
        return self.camera.shoot(linear, rng)


def _streaks(rng: np.random.Generator, board: Board, u: Floats) -> Floats:
    """Fibres: noise 0.15 mm wide and 6 mm long, deviation 1."""
    width, height = board.size
    turn = np.radians(board.angle_deg)
    y, x = np.mgrid[0:height, 0:width]
    v = x * np.cos(turn) - y * np.sin(turn)
    table = rng.standard_normal((int(np.ptp(v)) + 40, int(np.ptp(u) * board.px_per_mm) + 40))
    table = gaussian_filter(table, (6 * board.px_per_mm / 2, 0.15 * board.px_per_mm / 2))
    table /= table.std()
    return map_coordinates(
        table, [v - v.min() + 20, (u - u.min()) * board.px_per_mm + 20], order=1, mode="nearest"
    )
