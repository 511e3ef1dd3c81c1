"""Reeds: one stem, leaf or plume at a time, and a bed of them close up."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw
from scipy.ndimage import gaussian_filter

from brief.colour import srgb_to_linear
from demo_assets.render.camera import expose
from demo_assets.render.noise import Array, Rng, clouds, ramp

FINE = 2  # strokes are drawn this many times larger and reduced, which smooths their edges
Point = tuple[float, float]
Paint = tuple[int, int, int]


def curve(start: Point, through: Point, end: Point, steps: int = 24) -> Array:
    """A quadratic curve as points, shape (steps, 2)."""
    t = np.linspace(0, 1, steps)[:, None]
    a, b, c = np.array(start), np.array(through), np.array(end)
    return (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c


def ribbon(path: Array, width: Array) -> list[Point]:
    """The outline of a stroke of varying width along a path."""
    along = np.gradient(path, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) * width[:, None] / 2
    return [tuple(p) for p in np.concatenate([path + normal, (path - normal)[::-1]]) * FINE]


def tone(paint: Array, factor: float) -> Paint:
    """A paint lightened or darkened."""
    r, g, b = np.clip(paint * factor, 0, 255).astype(int)
    return int(r), int(g), int(b)


def draw_stem(draw: ImageDraw.ImageDraw, path: Array, width: float, paint: Array, rng: Rng) -> None:
    """A round stem lit from the right, darker at its joints."""
    taper = np.linspace(1.0, 0.55, len(path)) * width
    draw.polygon(ribbon(path, taper), fill=tone(paint, 0.66))
    draw.polygon(ribbon(path + np.array([0.10 * width, 0]), taper * 0.62), fill=tone(paint, 1.0))
    draw.polygon(ribbon(path + np.array([0.27 * width, 0]), taper * 0.2), fill=tone(paint, 1.26))
    joint = rng.uniform(1, 6)
    while joint < len(path) - 2:
        i = int(joint)
        middle = path[i] + (path[i + 1] - path[i]) * (joint - i)
        ring = np.stack([middle, middle + (path[i + 1] - path[i]) * 0.07])
        draw.polygon(ribbon(ring, np.full(2, taper[i] * 1.1)), fill=tone(paint, 0.55))
        joint += rng.uniform(4.5, 8)


def draw_leaf(
    draw: ImageDraw.ImageDraw,
    at: Point,
    length: float,
    lean: float,
    width: float,
    paint: Array,
    rng: Rng,
) -> None:
    """A long blade that leaves the stem steeply and bends over."""
    x, y = at
    stiff = rng.uniform(0.0, 1.0)
    crest = (x + (0.35 + 0.1 * stiff) * lean * length, y - (0.5 + 0.25 * stiff) * length)
    tip = (x + lean * length, y - (0.15 + 0.7 * stiff) * length)
    path = curve(at, crest, tip)
    swell = np.sin(np.linspace(0.25, np.pi, len(path))) ** 0.8 * width
    draw.polygon(ribbon(path, swell), fill=tone(paint, 0.85))
    draw.polygon(ribbon(path - [0, 0.18 * width], swell * 0.4), fill=tone(paint, 1.16))


def draw_plume(
    draw: ImageDraw.ImageDraw, path: Array, size: float, lean: float, paint: Array, rng: Rng
) -> None:
    """A seed head: a hundred and more fine hairs that all hang to one side."""
    top = path[-9:]
    for _ in range(int(60 + size * 1.3)):
        k = float(rng.uniform(0, len(top) - 1.01))
        x, y = top[int(k)] + (top[int(k) + 1] - top[int(k)]) * (k % 1)
        spread = np.sin(np.pi * (0.12 + 0.8 * k / len(top)))
        out = lean * size * rng.uniform(0.1, 0.55) * spread + rng.normal(0, 0.07) * size
        hair = curve(
            (x, y),
            (x + 0.6 * out, y - 0.16 * size),
            (x + out, y + rng.uniform(-0.1, 0.34) * size),
            7,
        )
        wide = np.linspace(1.0, 0.4, 7) * max(0.9, size * 0.02)
        draw.polygon(ribbon(hair, wide), fill=tone(paint, float(rng.uniform(0.6, 1.4))))


def sheet(shape: tuple[int, int]) -> tuple[Image.Image, ImageDraw.ImageDraw]:
    """A clear sheet to draw on, larger than the frame by FINE."""
    image = Image.new("RGBA", (shape[1] * FINE, shape[0] * FINE), (0, 0, 0, 0))
    return image, ImageDraw.Draw(image)


def lay_over(linear: Array, drawn: Image.Image, blur: float, light: Array | None = None) -> Array:
    """The drawn sheet laid over a scene in linear light, out of focus by `blur` pixels."""
    small = np.asarray(drawn.reduce(FINE), dtype=np.float64) / 255
    alpha = small[..., 3:]
    colour = srgb_to_linear(small[..., :3]) * alpha
    soft = gaussian_filter(np.dstack([colour, alpha]), (blur, blur, 0))
    ink = soft[..., :3] if light is None else soft[..., :3] * light
    return linear * (1 - soft[..., 3:]) + ink


def reed_bed() -> Array:
    """Inside the reed bed: stems behind stems, the near ones sharp, light from the right."""
    rng = np.random.default_rng(4207)
    shape = (1600, 1200)
    y = np.linspace(0, 1, shape[0])[:, None] * np.ones(shape)
    x = np.linspace(0, 1, shape[1])[None, :] * np.ones(shape)
    haze = np.array([0.60, 0.55, 0.40])
    depth = np.array([0.10, 0.105, 0.05])
    fog = clouds(rng, shape, slope=2.2, coarsest=2)
    clear = ramp(-0.1, 0.95, 1.05 - y + 0.10 * fog + 0.12 * (x - 0.5))
    scene = depth + (haze - depth) * clear[..., None]
    # far to near: number, width, blur, paint (sRGB), haze laid over afterwards
    layers = [
        (110, 5, 5.0, (186, 174, 138), 0.20),
        (95, 7, 3.2, (178, 160, 118), 0.16),
        (75, 9, 1.8, (170, 148, 102), 0.12),
        (52, 12, 0.9, (160, 139, 92), 0.07),
        (34, 16, 0.3, (166, 143, 96), 0.02),
        (20, 20, 0.2, (154, 134, 86), 0.0),
        (4, 42, 9.0, (96, 92, 44), 0.0),
    ]
    for count, width, blur, paint, wash in layers:
        drawn, draw = sheet(shape)
        for _ in range(count):
            _one_reed(draw, rng, shape, width, np.array(paint, dtype=np.float64))
        # The layers in front throw broken shade on those behind.
        dapple = 0.62 + 0.62 * ramp(-1.0, 1.0, clouds(rng, shape, slope=2.1, coarsest=4))
        light = ((0.36 + 0.80 * ramp(1.05, 0.25, y) + 0.12 * x) * dapple)[..., None]
        scene = lay_over(scene, drawn, blur, light)
        scene = scene + (haze - scene) * (wash * ramp(1.1, 0.2, y))[..., None]
    glow = np.exp(-(((x - 0.95) / 0.6) ** 2) - ((y - 0.05) / 0.5) ** 2)
    scene = scene + glow[..., None] * np.array([0.17, 0.12, 0.045])
    return expose(scene * 0.98, rng, noise=0.009, blur=0.5)


def _one_reed(
    draw: ImageDraw.ImageDraw, rng: Rng, shape: tuple[int, int], width: float, paint: Array
) -> None:
    """A stem with its leaves and, if it ends within the frame, its seed head."""
    green = rng.uniform(-1, 1)
    paint = paint * rng.uniform(0.8, 1.18) + np.array([-20, 0, -10]) * max(green, 0)
    height, span = shape
    foot = float(rng.uniform(-0.05, 1.05) * span)
    lean = float(rng.normal(0.03, 0.07) * height)
    top = float(rng.uniform(-0.35, 0.42) * height)
    path = curve((foot, height * 1.04), (foot + 0.25 * lean, 0.5 * height), (foot + lean, top), 30)
    draw_stem(draw, path, width * rng.uniform(0.75, 1.15), paint, rng)
    for _ in range(int(rng.integers(1, 4))):
        i = int(rng.integers(6, 27))
        side = 1.0 if rng.random() < 0.62 else -1.0
        length = rng.uniform(16, 36) * width
        blade = paint * np.array([0.92, 0.97, 0.80])
        draw_leaf(
            draw, tuple(path[i]), length, side * rng.uniform(0.25, 0.7), width * 1.0, blade, rng
        )
    if top > 0.02 * height:
        plume = np.array([122, 92, 74.0]) * rng.uniform(0.85, 1.2)
        draw_plume(draw, path, 9 * width, float(rng.uniform(0.5, 1.0)), plume, rng)


def fringe(linear: Array, rng: Rng, place: tuple[float, float], count: int, blur: float) -> Array:
    """A dark stand of reeds at one side of a landscape (`place`, fractions of the width)."""
    shape = linear.shape[:2]
    drawn, draw = sheet((shape[0], shape[1]))
    for _ in range(count):
        foot = rng.uniform(*place) * shape[1]
        tall = shape[0] * rng.uniform(0.28, 0.74)
        lean = -abs(rng.normal(0.05, 0.05)) * shape[0]
        path = curve(
            (foot, shape[0] * 1.03), (foot, shape[0] - 0.5 * tall), (foot + lean, shape[0] - tall)
        )
        paint = np.array([52, 46, 36.0]) * rng.uniform(0.75, 1.25)
        draw_stem(draw, path, rng.uniform(2.6, 4.6), paint, rng)
        for _ in range(3):
            i = int(rng.integers(4, 20))
            draw_leaf(
                draw,
                tuple(path[i]),
                tall * rng.uniform(0.16, 0.34),
                rng.choice([-1, -1, 1]) * 0.5,
                6.5,
                paint,
                rng,
            )
        draw_plume(draw, path, rng.uniform(46, 74), -0.9, np.array([70, 55, 46.0]), rng)
    return lay_over(linear, drawn, blur)
