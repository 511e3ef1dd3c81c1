"""Slack water: the tide neither in nor out, the surface barely moving."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_assets.render.camera import expose
from demo_assets.render.noise import Array, at, clouds, grain, mix, ramp
from demo_assets.render.reeds import curve, lay_over, ribbon, sheet, tone
from demo_assets.render.sky import TABLE, Ground, overcast

SHAPE = (1067, 1600)


def slack_water() -> Array:
    """Looking down a still channel: far reeds upside down, pale cloud, a line of foam."""
    rng = np.random.default_rng(7013)
    sky = overcast(rng)
    ground = Ground(SHAPE, horizon=-0.06, eye_m=1.9)
    y, x = ground.below()
    right, away = ground.reach()
    depth = y / SHAPE[0]
    swell = clouds(rng, TABLE, slope=1.9, stretch=1.0, coarsest=8)
    chop = clouds(rng, TABLE, slope=1.35, coarsest=26)
    # A breath of air roughens some lanes and leaves the rest like glass.
    lanes = ramp(-0.2, 1.3, at(swell, away * 30 + 200, right * 7 + 100))
    tilt = at(swell, away * 95, right * 34) * 0.030 + at(chop, away * 120, right * 42) * (
        0.004 + 0.034 * lanes
    )
    sway = at(swell, away * 80 + 77, right * 30 + 31)
    height = 0.02 + 0.80 * depth + tilt * (0.6 + depth)
    mirror = sky.light(np.clip(height, 0, 1), x / SHAPE[1] + 0.004 * sway)

    # The far reed bank, upside down: its stems as upright streaks, its top a torn edge.
    columns = np.clip(x + sway * (3 + 14 * depth), 0, SHAPE[1] - 1)
    stems = gaussian_filter(rng.standard_normal((1, SHAPE[1])), (0, 1.3))[0]
    stems = at(np.tile(stems / stems.std(), (2, 1)), 0 * y, columns)
    tops = clouds(rng, (8, 2048), slope=0.9, coarsest=1)[0, : SHAPE[1]]
    tops = at(np.tile(gaussian_filter(tops, 2.5) / tops.std(), (2, 1)), 0 * y, columns)
    reach = 0.235 + 0.05 * np.sin(x / SHAPE[1] * 4.1 + 0.6) + 0.035 * tops
    bank = ramp(0.035, -0.05, height - reach)
    reed = np.array([0.155, 0.140, 0.062]) * (1 + 0.24 * stems)[..., None]
    shade = mix(
        np.array([0.030, 0.038, 0.024]) + np.zeros_like(reed), reed, ramp(0.0, 0.24, height)
    )
    scene = mix(mirror, shade, bank * 0.94)

    # Looked at steeply, water gives up less of the sky and more of itself.
    steep = ramp(0.35, 1.25, depth)
    body = (
        np.array([0.062, 0.078, 0.055]) * (1 + 0.15 * at(swell, away * 40, right * 40))[..., None]
    )
    scene = mix(scene * 0.93, body, steep * 0.55)
    glitter = np.clip(at(chop, away * 240, right * 80) - 2.1, 0, 1) * lanes
    scene = scene + (glitter * 0.22)[..., None]
    scene = _foam(scene, x, y, right, away, rng)
    return expose(scene * 1.05, rng, noise=0.008, blur=0.55)


def _foam(
    scene: Array, x: Array, y: Array, right: Array, away: Array, rng: np.random.Generator
) -> Array:
    """The tide's own line of foam and broken reed, lying where the two waters met."""
    bend = clouds(rng, TABLE, slope=2.0, coarsest=6)
    line = away - 3.15 - 0.26 * right - 0.16 * at(bend, right * 60, right * 60)
    flecks = grain(rng, SHAPE, 0.8, 1.9)
    thin = np.exp(-((line / 0.10) ** 2)) + 0.30 * np.exp(-((line / 0.42) ** 2))
    patch = ramp(-0.6, 1.1, at(bend, away * 60, right * 90))
    foam = ramp(1.25, 2.1, flecks + 1.25 * thin * patch) * thin
    scene = mix(
        scene, np.array([0.58, 0.57, 0.50]) + np.zeros_like(scene), np.clip(foam, 0, 1) * 0.75
    )
    drawn, draw = sheet(SHAPE)
    on_line = np.argwhere(np.abs(line) < 0.05)
    for _ in range(26):
        row, column = on_line[int(rng.integers(len(on_line)))]
        size = 34 * rng.uniform(0.4, 1.9) * (0.35 + row / SHAPE[0])
        turn = rng.normal(-0.25, 0.35)
        tip = (column + size * np.cos(turn), row + 0.35 * size * np.sin(turn))
        path = curve((column, row), ((column + tip[0]) / 2, (row + tip[1]) / 2 - 1), tip, 8)
        thick = rng.uniform(1.2, 3.0)
        shadow = ribbon(path + np.array([0, thick * 1.1]), np.full(8, thick))
        draw.polygon(shadow, fill=(30, 34, 26, 150))
        draw.polygon(
            ribbon(path, np.full(8, thick)),
            fill=tone(np.array([166, 142, 88.0]), rng.uniform(0.55, 1.1)),
        )
    return lay_over(scene, drawn, 0.4)
