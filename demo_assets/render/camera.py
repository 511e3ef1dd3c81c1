"""From the colour of things to a photograph of them: light, lens, sensor and file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter

from brief.colour import lab_to_srgb, linear_to_srgb, srgb_to_lab, srgb_to_linear
from demo_assets.render.noise import Array, Rng

QUALITY = 87


def bench_light(
    shape: tuple[int, int], toward: tuple[float, float], fall: float = 0.16, vignette: float = 0.1
) -> Array:
    """Relative light from a window `toward` (right, down), and the lens's darker corners."""
    y = np.linspace(-1, 1, shape[0])[:, None]
    x = np.linspace(-1, 1, shape[1])[None, :]
    return (1 + fall * (toward[0] * x + toward[1] * y)) * (1 - vignette * (x**2 + y**2) / 2)


def expose(linear: Array, rng: Rng, noise: float = 0.004, blur: float = 0.45) -> Array:
    """Encoded sRGB of a scene in linear light, with the lens's softness and the sensor's noise."""
    soft = gaussian_filter(linear, (blur, blur, 0))
    srgb = linear_to_srgb(np.clip(soft, 0.0, 1.0))
    luma = rng.standard_normal(srgb.shape[:2])[..., None]
    chroma = gaussian_filter(rng.standard_normal(srgb.shape), (0.8, 0.8, 0))
    return np.clip(srgb + noise * (0.7 * luma + 0.6 * chroma), 0.0, 1.0)


def photograph_board(lab: Array, light: Array, rng: Rng, mean: tuple[float, float, float]) -> Array:
    """Encoded sRGB of a board under `light`, exposed so that its mean colour is `mean` (Lab)."""
    target = np.asarray(mean)
    shift = np.zeros(3)
    # Light and clipping pull the mean about, so it is closed in on; three rounds settle it.
    for _ in range(3):
        srgb = _lit(lab[::4, ::4] + shift, light[::4, ::4])
        shift = shift + target - srgb_to_lab(srgb).reshape(-1, 3).mean(axis=0)
    return expose(srgb_to_linear(_lit(lab + shift, light)), rng)


def _lit(lab: Array, light: Array) -> Array:
    albedo = srgb_to_linear(np.clip(lab_to_srgb(lab), 0.0, 1.0))
    return linear_to_srgb(np.clip(albedo * light[..., None], 0.0, 1.0))


def to_image(srgb: Array) -> Image.Image:
    """Eight bits a channel."""
    return Image.fromarray(np.round(srgb * 255).astype(np.uint8), "RGB")


def save(image: Image.Image, path: Path, **extra: object) -> None:
    """A JPEG, with whatever a camera would add (`icc_profile`, `exif`)."""
    image.save(path, "JPEG", quality=QUALITY, optimize=True, progressive=True, **extra)
