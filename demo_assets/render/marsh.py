"""The saltmarsh itself: the creek at first light, and the mud it is cut from."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter
from scipy.spatial import cKDTree

from brief.colour import linear_to_srgb
from demo_assets.render.camera import expose
from demo_assets.render.noise import Array, Rng, at, clouds, mix, ramp
from demo_assets.render.reeds import curve, fringe, lay_over, ribbon, sheet
from demo_assets.render.sky import TABLE, Ground, Sky, dawn

WIDE = (1067, 1600)
BANK_M = 0.6


def first_light() -> Array:
    """The creek before sunrise, mist on the far marsh, reeds at the right hand."""
    rng = np.random.default_rng(5003)
    ground = Ground(WIDE, horizon=0.40, eye_m=2.3)
    sky = dawn(rng)
    y, x = ground.below()
    across = x / WIDE[1]
    scene = sky.light(ground.height(), across)
    scene = _far_shores(scene, ground, sky, rng)
    plain = _plain(ground, sky, rng)
    below = ramp(0.0, 2.0, y - ground.horizon * WIDE[0])
    scene = mix(scene, plain, below)
    # Mist lies in sheets over the far marsh and thins toward the feet.
    rise = (y - ground.horizon * WIDE[0]) / WIDE[0]
    sheets = clouds(rng, WIDE, slope=1.7, stretch=6.0, coarsest=3)
    mist = np.exp(-(((rise - 0.012 - 0.010 * sheets) / 0.038) ** 2)) * 0.72
    mist = mist + 0.22 * ramp(0.2, 1.8, sheets) * np.exp(-(((rise - 0.06) / 0.06) ** 2))
    pale = sky.light(np.full(WIDE, 0.05), across) * 0.93 + 0.03
    scene = mix(scene, pale, np.clip(mist, 0, 1))
    scene = fringe(scene, rng, (0.83, 1.03), 30, 1.3)
    scene = fringe(scene, rng, (-0.04, 0.06), 7, 2.2)
    return expose(scene, rng, noise=0.008, blur=0.6)


def _far_shores(scene: Array, ground: Ground, sky: Sky, rng: Rng) -> Array:
    """Low land beyond the marsh, each line paler than the one before it."""
    _, x = ground.below()
    columns = np.arange(WIDE[1])
    for height, solid, rough in ((0.030, 0.22, 2.6), (0.017, 0.42, 2.0)):
        low = clouds(rng, (8, 2048), slope=rough * 0.55, coarsest=1)[0, : WIDE[1]]
        edge = height * (0.75 + 0.5 * gaussian_filter(low, 2.0) / low.std() * 0.5)
        edge = edge * (0.55 + 0.6 * np.sin(columns / WIDE[1] * 2.6 + height * 90) ** 2)
        land = ramp(0.0015, -0.0015, ground.height() - edge[None, :])
        shade = sky.light(np.full(WIDE, 0.02), x / WIDE[1]) * 0.35 + np.array([0.05, 0.07, 0.10])
        scene = mix(scene, shade, land * solid)
    return scene


def _plain(ground: Ground, sky: Sky, rng: Rng) -> Array:
    """Marsh, creek bank and water, met in that order by each line of sight."""
    _, x = ground.below()
    wander = clouds(rng, TABLE, slope=1.8, coarsest=3)
    pools = clouds(rng, TABLE, slope=2.0, stretch=1.7, coarsest=6)
    scale = 9.0  # table pixels to the metre

    def dry(right: Array, away: Array) -> Array:
        """Metres into the marsh from the water's edge, by the table; negative in a creek."""
        bend = away * (0.02 - 0.21 * np.sin(2.35 * np.log(away) - 2.6))
        edge = 0.30 * at(wander, away * scale * 2, right * scale * 2) * (0.6 + away / 14)
        creek = np.abs(right - bend) - (0.9 + 0.085 * away) + edge
        side = np.abs(away - 19 - 1.6 * np.sin(right / 4.5) - right * 0.35) - 0.7 + edge
        side = np.where(right < bend, side, 9.0)
        pool = (at(pools, away * 5, right * 5) + 1.55) * (2.0 + away / 20)
        return np.minimum(np.minimum(creek, pool), side)

    right, away = ground.reach()
    low_right, low_away = ground.reach(BANK_M)
    marsh = ramp(-0.02, 0.02, dry(right, away) / (0.4 + away / 30))
    seen_water = ramp(0.03, -0.03, dry(low_right, low_away) / (0.4 + low_away / 30))
    # A mirrored line of sight climbs the bank again this much further on.
    climb = 1 + BANK_M / (ground.eye_m + BANK_M)
    mirrored_bank = ramp(-0.25, 0.3, dry(low_right * climb, low_away * climb))

    ripple = at(wander, low_away * 26, low_right * 9) * 0.006 + 0.004 * at(
        pools, low_away * 60, low_right * 14
    )
    mirror = sky.light(np.abs(ground.height()) * 0.92 + ripple, x / WIDE[1])
    water = mirror * 0.86 + np.array([0.004, 0.008, 0.010])
    turf = _turf(right, away, rng)
    mud = (
        np.array([0.060, 0.050, 0.044])
        * (1 + 0.35 * at(wander, low_away * 40, low_right * 40))[..., None]
    )
    water = mix(water, mud * 0.9 + mirror * 0.08, mirrored_bank * 0.93)
    bank = mud + mirror * 0.10 * ramp(0.2, 1.4, at(pools, low_away * 30, low_right * 8))[..., None]
    scene = mix(mix(bank, water, seen_water), turf * 0.5, marsh)
    scene = _grass(scene, ground, marsh, turf, rng)
    air = sky.light(np.full(WIDE, 0.03), x / WIDE[1]) * 0.86
    return mix(scene, air, (1 - np.exp(-np.maximum(away - 5, 0) / 75)) * 0.92)


def _turf(right: Array, away: Array, rng: Rng) -> Array:
    """Sea purslane, cord grass and dead stems in patches, in the flat light before the sun."""
    patch = at(clouds(rng, TABLE, slope=1.5, coarsest=6), away * 7, right * 7)
    second = at(clouds(rng, TABLE, slope=1.3, coarsest=10), away * 11, right * 11)
    sage, straw, plum = np.array(
        [[0.105, 0.115, 0.075], [0.215, 0.165, 0.085], [0.090, 0.068, 0.066]]
    )
    colour = sage + np.zeros((*patch.shape, 3))
    colour = mix(colour, straw + np.zeros_like(colour), ramp(0.1, 1.2, patch))
    return mix(colour, plum + np.zeros_like(colour), ramp(0.3, 1.5, second))


def _grass(scene: Array, ground: Ground, marsh: Array, turf: Array, rng: Rng) -> Array:
    """Blades drawn from far to near, each in the colour of the turf it stands on."""
    top = int(ground.horizon * WIDE[0]) + 6
    drawn, draw = sheet(WIDE)
    rows = top + (WIDE[0] + 40 - top) * np.sort(rng.random(75000)) ** 1.1
    for row in rows:
        column = rng.uniform(0, WIDE[1])
        i, j = min(int(row), WIDE[0] - 1), int(column)
        if marsh[i, j] < 0.6:
            continue
        size = 0.36 * ground.lens * (row - top + 6) / (ground.lens * ground.eye_m)
        tall = size * rng.uniform(0.5, 1.35)
        lean = rng.normal(-0.16, 0.26) * tall
        light = turf[i, j] * rng.choice([0.35, 0.6, 0.9, 1.3, 1.9], p=[0.3, 0.25, 0.2, 0.15, 0.1])
        r, g, b = (linear_to_srgb(np.clip(light, 0, 1)) * 255).astype(int)
        bend = (column + 0.3 * lean, row - 0.62 * tall)
        path = curve((column, row), bend, (column + lean, row - tall), 5)
        blade = ribbon(path, np.array([1.0, 0.9, 0.7, 0.4, 0.1]) * max(0.7, size * 0.034))
        draw.polygon(blade, fill=(int(r), int(g), int(b), 240))
    return lay_over(scene, drawn, 0.35)


def mud_bank() -> Array:
    """Dark mud drying on the creek bank, cracked to plates, a little water left in the cracks."""
    rng = np.random.default_rng(5119)
    shape = (1200, 1600)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]].astype(np.float64)
    warp_y, warp_x = (clouds(rng, shape, slope=2.0, coarsest=4) * 17 for _ in range(2))
    squash = 0.72 + 0.34 * y / shape[0]  # seen a little aslant: plates shorten upward
    points = np.stack([y / squash + warp_y, x + warp_x], axis=-1)
    height = np.zeros(shape)
    cut = np.zeros(shape)
    for cells, depth, width in ((58, 1.0, 8.5), (260, 0.42, 3.4)):
        seeds = rng.random((cells, 2)) * [shape[0] / 0.72, shape[1]] * 1.1 - 60
        gap, which = cKDTree(seeds).query(points, k=2)
        apart = np.linalg.norm(seeds[which[..., 1]] - seeds[which[..., 0]], axis=-1)
        edge = (gap[..., 1] ** 2 - gap[..., 0] ** 2) / (2 * apart)
        opens = width * (0.55 + 0.75 * ramp(-1.2, 1.4, clouds(rng, shape, slope=1.9, coarsest=2)))
        crack = ramp(opens * 1.25, opens * 0.35, edge)
        lip = np.exp(-((edge / (opens * 4.5)) ** 2))
        tilt = rng.normal(0, 0.5, cells)[which[..., 0]]
        height = height + depth * (5.0 * lip + 3.0 * tilt * np.tanh(edge / 40) - 17 * crack)
        cut = np.maximum(cut, crack * min(1.0, depth + 0.2))
    height = height + 3.2 * clouds(rng, shape, slope=1.6, coarsest=4)
    height = height + 0.55 * clouds(rng, shape, slope=0.9, coarsest=60)
    casts = gaussian_filter((rng.random(shape) < 6e-5) * 1.0, 3.2) * 420
    height = height - casts
    slope_y, slope_x = np.gradient(gaussian_filter(height, 0.7))
    normal = np.stack([-slope_x, -slope_y, np.ones(shape)], axis=-1) * [0.5, 0.5, 1]
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    sun = np.array([-0.72, -0.42, 0.55])
    diffuse = np.clip(normal @ (sun / np.linalg.norm(sun)), 0, 1)
    gloss = np.clip(normal @ np.array([-0.30, -0.38, 0.87]), 0, 1)
    damp = ramp(-0.8, 1.4, clouds(rng, shape, slope=2.0, coarsest=2))
    dry, wet = np.array([0.150, 0.122, 0.098]), np.array([0.056, 0.047, 0.041])
    colour = mix(dry + np.zeros((*shape, 3)), wet + np.zeros((*shape, 3)), damp)
    colour = colour * (1 + 0.10 * clouds(rng, shape, slope=0.7, coarsest=40))[..., None]
    algae = ramp(0.9, 2.4, clouds(rng, shape, slope=1.8, coarsest=3)) * (1 - cut)
    colour = mix(colour, np.array([0.085, 0.090, 0.045]) + np.zeros_like(colour), algae * 0.55)
    scene = colour * (0.22 + 1.15 * diffuse)[..., None] * (1 - 0.86 * cut)[..., None]
    shine = (0.30 * damp * gloss**26 + 0.10 * damp * gloss**8)[..., None]
    scene = scene + shine * np.array([0.42, 0.43, 0.44])
    fall = (1.08 - 0.22 * (x / shape[1]) - 0.10 * (y / shape[0]))[..., None]
    return expose(scene * fall * 1.45, rng, noise=0.011, blur=0.55)
