"""A board on a bench, with a chart or paper beside it, put together from the demo's pictures.

What of the picture is board is known, as it was put there.
"""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

from brief.photo import chart_surround
from brief.places import demo_folder

from .rendered_chart import Shot, chart_reflectances, draw_chart

SIZE = (600, 400)
INSIDE = ((22, 18), (80, 24), (77, 78), (19, 72))
THROUGH = ((-5, 25), (105, 31), (105, 75), (-5, 69))
STRIP = ((-5, -5), (105, -5), (105, 74), (-5, 70))
PAPER = ((64, 5), (96, 8), (94, 38), (62, 35))
CHART = ((6, 62), (30, 62), (30, 88), (6, 88))


def picture(name: str, turned: bool = True) -> Image.Image:
    with Image.open(demo_folder() / "pictures" / f"{name}.jpg") as opened:
        image = opened.convert("RGB")
    if turned and image.height > image.width:
        image = image.transpose(Image.Transpose.ROTATE_90)
    return image.resize(SIZE)


def over(ring) -> np.ndarray:
    """How much of each pixel a ring covers, 0 to 1."""
    mask = Image.new("L", (SIZE[0] * 2, SIZE[1] * 2))
    points = [(x / 50 * SIZE[0], y / 50 * SIZE[1]) for x, y in ring]
    ImageDraw.Draw(mask).polygon(points, fill=255)
    return np.asarray(mask.resize(SIZE, Image.Resampling.BOX)) / 255


def scene(board: str, bench: str, ring, *, paper=None, chart=None, fall: float = 0.15):
    """The photograph, and what of it is board. fall : how the light falls off, end to end."""
    pixels = np.asarray(picture(bench)).astype(float)
    share = over(ring)
    shadow = gaussian_filter(over([(x + 0.6, y + 1.2) for x, y in ring]), 4)
    pixels *= 1 - 0.35 * shadow[..., None]
    pixels += share[..., None] * (np.asarray(picture(board)) - pixels)
    wood = share > 0.99
    if paper is not None:
        pixels += over(paper)[..., None] * (np.array((236, 234, 226)) - pixels)
        wood &= over(paper) == 0
    if chart is not None:
        patches = np.clip(Shot("Nikon 5100 (NPL)", "D50").linear(chart_reflectances()), 0, 1)
        drawn = np.asarray(draw_chart(patches, size=SIZE, corners=chart)).astype(float)
        frame = over(chart_surround(chart))
        pixels += (frame > 0.5)[..., None] * (drawn - pixels)
        wood &= frame == 0
    across = np.linspace(1 + fall, 1 - fall, SIZE[0])[None, :, None]
    noise = np.random.default_rng(0).normal(0, 2, pixels.shape)
    return Image.fromarray(np.clip(pixels * across + noise, 0, 255).astype(np.uint8)), wood
