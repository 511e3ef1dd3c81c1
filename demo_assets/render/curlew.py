"""A curlew at slack water: the bird from its outline and feather tracts, and its reflection."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw
from scipy.interpolate import CubicSpline
from scipy.ndimage import gaussian_filter

from demo_assets.render.camera import expose
from demo_assets.render.noise import Array, Rng, at, clouds, mix, ramp
from demo_assets.render.reeds import FINE, curve, ribbon
from demo_assets.render.sky import TABLE, Ground, Sky, dawn

SHAPE = (1067, 1600)
CM = 8.9  # pixels to a centimetre of bird
FEET = (905.0, 668.0)

# The bird faces left; centimetres right of and above its feet, forehead first, clockwise.
OUTLINE = [
    (-20.9, 50.0), (-20.0, 51.2), (-18.3, 51.9), (-16.4, 51.4), (-14.9, 49.6), (-14.0, 46.6),
    (-13.0, 43.4), (-11.2, 40.4), (-7.6, 38.4), (-2.0, 37.4), (4.0, 36.0), (10.0, 33.6),
    (16.0, 30.8), (21.0, 28.2), (26.0, 25.2), (25.6, 24.2), (20.5, 24.9), (15.0, 24.6),
    (10.0, 22.8), (4.5, 20.8), (-1.0, 20.1), (-6.5, 21.2), (-11.4, 24.4), (-14.8, 29.2),
    (-16.4, 34.4), (-17.0, 39.4), (-17.5, 43.4), (-18.6, 46.2), (-20.2, 47.6),
]  # fmt: skip
WING = [
    (-9.5, 36.2), (-3.0, 36.6), (4.0, 35.0), (11.0, 32.4), (18.0, 29.2), (25.6, 25.0),
    (18.0, 26.2), (10.0, 26.4), (2.0, 26.6), (-5.0, 28.4), (-9.5, 32.0),
]  # fmt: skip


def _closed(points: list[tuple[float, float]]) -> Array:
    """A smooth closed line through the points."""
    loop = np.array([*points, points[0]])
    step = np.linalg.norm(np.diff(loop, axis=0), axis=1) ** 0.5
    where = np.concatenate([[0], np.cumsum(step)])
    return CubicSpline(where, loop, bc_type="periodic")(np.linspace(0, where[-1], 400))


def _place(points: Array) -> Array:
    """Bird centimetres to frame pixels."""
    return np.asarray(points) * [CM, -CM] + FEET


def _mask(outlines: list[Array]) -> Array:
    """Coverage of filled outlines (frame pixels), 0 to 1."""
    image = Image.new("L", (SHAPE[1] * FINE, SHAPE[0] * FINE), 0)
    draw = ImageDraw.Draw(image)
    for outline in outlines:
        draw.polygon([tuple(p) for p in outline * FINE], fill=255)
    return np.asarray(image.reduce(FINE), dtype=np.float64) / 255


def _stroke(path: Array, width: Array) -> Array:
    """A tapering stroke as an outline in frame pixels; path and widths in bird centimetres."""
    return np.array(ribbon(_place(path), width * CM)) / FINE


def _feathers(rng: Rng) -> Array:
    """Dark streaks along each feather tract: fine on the neck, arrowheads on back and flank."""
    marks = []
    tracts = [  # box (left, right, low, high), heading in degrees, length, width, number
        ((-21, -13, 38, 52), 250, 1.3, 0.26, 260),
        ((-17, -8, 27, 40), 275, 1.4, 0.26, 330),
        ((-10, 26, 27, 38), 336, 1.9, 0.46, 520),
        ((-8, 14, 22, 29), 320, 1.7, 0.34, 120),
        ((8, 27, 23, 30), 338, 4.2, 0.5, 90),
    ]
    for (left, right, low, high), heading, length, width, number in tracts:
        for _ in range(number):
            x, y = rng.uniform(left, right), rng.uniform(low, high)
            way = np.deg2rad(heading + rng.normal(0, 8))
            long = length * rng.uniform(0.6, 1.3)
            tip = (x + long * np.cos(way), y + long * np.sin(way))
            path = curve((x, y), ((x + tip[0]) / 2, (y + tip[1]) / 2), tip, 6)
            marks.append(_stroke(path, width * np.array([0.3, 0.8, 1.0, 0.9, 0.6, 0.1])))
    return _mask(marks)


def bird(rng: Rng) -> tuple[Array, Array]:
    """Linear light and coverage of the bird alone, standing at FEET."""
    body = _mask([_place(_closed(OUTLINE))])
    wing = _mask([_place(_closed(WING))])
    bill_path = curve((-20.2, 48.9), (-31.5, 49.6), (-36.4, 39.8), 40)
    bill = _mask([_stroke(bill_path, np.linspace(1.75, 0.42, 40) ** 0.9)])
    joints = [
        [(0.5, 22.5), (1.9, 12.6), (-0.6, 0.4)],
        [(4.6, 22.5), (7.0, 13.2), (6.2, 1.2)],
    ]
    legs = []
    for hip, ankle, foot in joints:
        legs.append(_stroke(curve(hip, ankle, ankle, 8), np.linspace(2.6, 0.7, 8)))
        legs.append(_stroke(curve(ankle, ankle, foot, 8), np.linspace(0.85, 0.62, 8)))
        legs.append(_stroke(np.array([foot, (foot[0] - 3.2, foot[1] - 0.3)]), np.array([0.7, 0.3])))
        legs.append(_stroke(np.array([foot, (foot[0] - 1.8, foot[1] - 1.0)]), np.array([0.6, 0.3])))
    leg = _mask(legs)
    y, x = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]].astype(np.float64)
    up, right = (FEET[1] - y) / CM, (x - FEET[0]) / CM
    # Roundness from the mask itself: soft inside, and the light comes low from the left.
    soft = gaussian_filter(body, 24)
    slope_y, slope_x = np.gradient(gaussian_filter(body, 9))
    toward = np.clip(slope_x * 26, -1, 1) * 0.8 - np.clip(-slope_y * 26, -1, 1) * 0.1
    buff, earth, pale = np.array([[0.215, 0.160, 0.105], [0.082, 0.060, 0.044], [0.40, 0.35, 0.29]])
    belly = ramp(30, 20, up + 0.22 * right)
    colour = mix(buff + np.zeros((*SHAPE, 3)), pale + np.zeros((*SHAPE, 3)), belly * 0.8)
    colour = mix(colour, buff * 0.72 + np.zeros_like(colour), wing * 0.8)
    marks = gaussian_filter(_feathers(rng), 0.5)
    crown = ramp(49.6, 51.0, up) * ramp(-12, -14, right)
    streak = np.clip(marks * (1 - 0.85 * belly) + 0.45 * crown, 0, 1)
    colour = mix(colour, earth + np.zeros_like(colour), streak * 0.88)
    edge = np.clip(wing - gaussian_filter(wing, 5), 0, 1) + np.clip(
        gaussian_filter(wing, 5) - wing, 0, 1
    )
    colour = colour * (1 - 0.5 * edge)[..., None]
    shade = 0.40 + 0.42 * ramp(0.5, 1.0, soft) * 0.5 + 0.75 * np.clip(toward, 0, 1) + 0.20 * belly
    colour = colour * shade[..., None] + (np.clip(toward, 0, 1) ** 2 * 0.16)[..., None] * np.array(
        [1.0, 0.68, 0.42]
    )
    horn = mix(
        np.array([0.20, 0.12, 0.095]) + np.zeros_like(colour),
        np.array([0.035, 0.03, 0.028]) + np.zeros_like(colour),
        ramp(-24, -31, right),
    )
    colour = mix(colour, horn * 0.75, bill * (1 - body))
    colour = mix(colour, np.array([0.105, 0.108, 0.108]) + np.zeros_like(colour), leg * (1 - body))
    eye = np.exp(-((((right + 18.6) / 0.55) ** 2 + ((up - 49.4) / 0.55) ** 2) ** 2))
    ring = np.exp(-((((right + 18.6) / 1.0) ** 2 + ((up - 49.4) / 0.9) ** 2) ** 2)) - eye
    colour = mix(colour, pale * 0.7 + np.zeros_like(colour), ring * 0.55)
    colour = mix(colour, np.array([0.008, 0.007, 0.006]) + np.zeros_like(colour), eye)
    glint = np.exp(-(((right + 18.8) / 0.2) ** 2 + ((up - 49.65) / 0.2) ** 2))
    colour = colour + glint[..., None] * 0.5
    return colour, np.clip(body + bill + leg, 0, 1)


def curlew() -> Array:
    """The bird on the flat at the turn of the tide, the last of the mist behind it."""
    rng = np.random.default_rng(6007)
    sky = dawn(rng, glow_x=0.16)
    ground = Ground(SHAPE, horizon=0.235, eye_m=0.75)
    scene, ripple, wet = _flat(ground, sky, rng)
    light, cover = bird(rng)
    y, x = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]].astype(np.float64)
    # The mirror image: turned over at the feet, wavering more the further it lies from them.
    depth = np.maximum(y - FEET[1], 0)
    row = FEET[1] - depth * 1.03 + ripple * depth * 0.10
    column = x + ripple * (2.0 + 0.05 * depth)
    seen = np.stack([at(light[..., i], row, column) for i in range(3)], axis=-1)
    share = gaussian_filter(at(cover, row, column) * (y > FEET[1] - 2), (1.2, 0.8))
    scene = mix(scene, seen * 0.75 + 0.02, share * wet * (0.88 - 0.25 * ramp(0, 420, depth)))
    for foot_x, foot_y in ((-0.6, 0.4), (6.2, 1.2)):
        round_y = (y - (FEET[1] - foot_y * CM)) * 3.6
        radius = np.hypot(x - FEET[0] - foot_x * CM, round_y)
        rings = np.sin(radius * 0.34) * np.exp(-radius / 42) * ramp(3, 9, radius)
        scene = scene * (1 + 0.30 * rings * wet)[..., None]
    scene = mix(scene, light, cover)
    return expose(scene, rng, noise=0.008, blur=0.55)


def _flat(ground: Ground, sky: Sky, rng: Rng) -> tuple[Array, Array, Array]:
    """Mud and standing water to a far bank: linear light, ripple, and the wet share."""
    _, x = ground.below()
    across = x / SHAPE[1]
    right, away = ground.reach()
    swell = clouds(rng, TABLE, slope=1.7, coarsest=8)
    pock = clouds(rng, TABLE, slope=1.2, coarsest=20)
    ripple = at(swell, away * 150, right * 45) * 0.7 + at(pock, away * 210, right * 60) * 0.3
    calm = ramp(-1.0, 1.0, at(swell, away * 14, right * 8))
    height = ground.height()
    mirror = sky.light(np.abs(height) * 0.95 + ripple * (0.004 + 0.012 * calm), across)
    bars = at(swell, away * 21 + 400, right * 10 + 90) + 0.30 * at(pock, away * 60, right * 40)
    bars = (
        bars
        + 0.5 * ramp(7, 30, away)
        - 0.9 * np.exp(-(((right - 0.25) / 0.5) ** 2) - ((away - 2.2) / 1.0) ** 2)
    )
    mud_share = ramp(0.62, 0.95, bars)
    lumps = at(pock, away * 130, right * 110)
    mud = np.array([0.074, 0.060, 0.049]) * np.clip(1 + 0.38 * lumps, 0.3, 2)[..., None]
    sheen = ramp(0.1, 1.6, at(pock, away * 95 + 3, right * 40)) * 0.42 + 0.10
    mud = mud * 0.8 + mirror * sheen[..., None] * 0.5
    scene = mix(mirror * 0.88, mud, mud_share)
    rim = np.exp(-(((bars - 0.62) / 0.07) ** 2))
    scene = scene * (1 - 0.30 * rim)[..., None]
    bank = clouds(rng, (8, 2048), slope=1.3, coarsest=1)[0, : SHAPE[1]]
    edge = 0.026 + 0.007 * gaussian_filter(bank, 12) / bank.std()
    air = sky.light(np.full(SHAPE, 0.03), across)
    above = sky.light(height, across)
    shore = air * 0.42 + np.array([0.04, 0.05, 0.06])
    land = ramp(0.003, -0.003, np.abs(height) - edge[None, :])
    above = mix(above, shore, land * 0.62)
    scene = mix(scene, shore * 0.95, land * 0.50 * (height <= 0))
    scene = mix(scene, air * 0.9, (1 - np.exp(-np.maximum(away - 3, 0) / 26)) * 0.75)
    scene = mix(scene, above, ramp(-0.001, 0.001, height))
    mist = np.exp(-(((height - 0.012) / 0.022) ** 2)) * 0.6
    return mix(scene, air * 0.98, mist), ripple, 1 - mud_share
