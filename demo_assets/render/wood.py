"""The timbers and veneers on the invented rack, each cut from its own model of growth."""

from __future__ import annotations

import numpy as np

from demo_assets.render.camera import bench_light, photograph_board
from demo_assets.render.grain import Board, chatoyance, grow, lab
from demo_assets.render.noise import Array, ramp

TALL = (1600, 1120)
SMALL = (1400, 900)


def cedar() -> Array:
    """Quartersawn western red cedar: straight uneven rings, dark thin late wood, silky rays."""
    board = Board(1101, TALL, 205)
    u = board.x + 0.012 * board.y + 0.8 * board.patches(120, 40) + 0.16 * board.patches(14, 20)
    late, tint = grow(board.rng, 320, 1.25, 0.34, 0.3, 0.11).read(u + 60)
    zones = board.streaks(u, board.y, 900, 9)
    wide = board.streaks(u, board.y, 900, 34)
    fibres = board.streaks(u, board.y, 7, 0.09)
    fleck = ramp(0.9, 2.4, board.streaks(u, board.y, 0.28, 2.2)) * ramp(
        -0.4, 1.2, board.patches(30, 14)
    )
    resin = board.dashes(u, board.y, 5, 0.16, 5)
    runout = chatoyance(board.patches(70, 55), 0.8)
    colour = lab(
        (66, 12.5, 26),
        (late, (-17, 5.5, 2.5)),
        (tint, (-1.3, 0.5, 0.3)),
        (zones, (-1.5, 0.9, 0.2)),
        (wide, (-2.2, 1.1, -0.5)),
        (fibres, (1.1, -0.2, 0.1)),
        (fleck, (2.4, -0.5, 0.6)),
        (resin, (-7, 2.5, 1)),
        (runout, (1.3, -0.2, 0.2)),
    )
    light = bench_light(board.shape, (-0.5, -0.6), 0.11)
    return photograph_board(colour, light, board.rng, (60, 14, 26))


def spruce() -> Array:
    """Quartersawn spruce: pale, wide-ringed, with the silk of its rays in bands across it."""
    board = Board(1207, TALL, 205)
    u = board.x - 0.008 * board.y + 0.6 * board.patches(140, 50)
    late, tint = grow(board.rng, 320, 2.3, 0.24, 0.32, 0.14).read(u + 40)
    wide = board.streaks(u, board.y, 900, 40)
    fibres = board.streaks(u, board.y, 6, 0.09)
    silk = ramp(0.3, 2.2, board.streaks(u, board.y, 0.3, 3.6)) * ramp(
        -0.9, 0.9, board.patches(46, 22)
    )
    colour = lab(
        (81, 3.5, 19),
        (late, (-9, 4, 6)),
        (tint, (-0.7, 0.3, 0.4)),
        (wide, (-1.0, 0.6, 0.9)),
        (fibres, (0.9, -0.1, -0.1)),
        (silk, (3.0, -0.6, -1.0)),
        (chatoyance(board.patches(80, 60), 0.8), (0.9, 0, 0)),
    )
    light = bench_light(board.shape, (0.5, -0.5), 0.08)
    return photograph_board(colour, light, board.rng, (79, 4.5, 21))


def walnut() -> Array:
    """Black walnut cut through a fork: the plume, where the wood of two limbs meets."""
    board = Board(1312, TALL, 215)
    spine = 107 + 3.2 * board.streaks(0 * board.x, board.y, 34, 1e3) + 0.05 * (board.y - 150)
    side = board.x - spine
    # Close to the spine the barbs stand out; toward the edges they turn up into straight grain.
    reach = np.linspace(0, 160, 800)
    rise = 0.55 + 3.1 * ramp(4, 95, reach)
    climb = np.concatenate([[0], np.cumsum(0.5 * (rise[1:] + rise[:-1]) * np.diff(reach))])
    length = np.cumsum(np.sqrt(1 + rise**2)) * (reach[1] - reach[0])
    s = np.sqrt(side**2 + 1.2)
    p = board.y + np.interp(s, reach, climb)
    p = p + 3.5 * board.patches(34, 26) + 0.7 * board.patches(9, 7)
    t = np.sign(side) * np.interp(s, reach, length)
    near = np.exp(-((s / 46) ** 1.4))
    core = np.exp(-s / 16)
    # Here u is p (across the barbs) and v is t (along them).
    broad = board.streaks(p, t, 60, 5.5)
    feather = board.streaks(p, t, 22, 1.9)
    fine = board.streaks(p, t, 9, 0.8)
    ripple = board.streaks(p, t, 1.9, 14)
    dark = board.streaks(p, t, 300, 8)
    streak = board.streaks(p, t, 300, 2.2)
    fibres = board.streaks(p, t, 4, 0.28)
    pores = board.dashes(p, t, 5.0, 0.42, 34)
    knot = np.exp(-((s / 2.6) ** 2)) * board.patches(9, 1.2)
    sheen = near * chatoyance(0.8 * broad + 0.85 * feather + 0.4 * fine, 0.9)
    glow = near * chatoyance(ripple, 1.0)
    colour = lab(
        (38, 8.5, 15),
        (dark, (-3.0, -0.4, -1.7)),
        (ramp(0.6, 2.4, streak) * (1 - 0.5 * near), (-7.5, -0.6, -4)),
        (sheen, (7.2, 1.2, 3.6)),
        (glow, (2.1, 0.3, 0.9)),
        (core, (-3.0, 0.8, 0.2)),
        (knot, (3.2, 0.5, 1.0)),
        (np.sign(side) * near * (1 - core), (1.5, 0, 0.4)),
        (fibres * (0.45 + 0.55 * near), (1.4, 0.1, 0.4)),
        (pores, (-10, -1.3, -4.0)),
    )
    light = bench_light(board.shape, (0.6, -0.4), 0.14)
    return photograph_board(colour, light, board.rng, (38, 9, 15))


def sapele() -> Array:
    """Quartersawn sapele: grain that winds one way, then the other, in ribbons."""
    board = Board(1409, SMALL, 120)
    u = board.x + 0.02 * board.y + 0.9 * board.patches(90, 30)
    winding = board.streaks(u, board.y, 110, 3.4) + 0.55 * board.streaks(u, board.y, 36, 1.7)
    ribbon = chatoyance(winding, 1.7)
    fine = chatoyance(board.streaks(u, board.y, 24, 0.8), 1.0)
    late, tint = grow(board.rng, 200, 4.2, 0.3, 0.12, 0.16).read(u + 30)
    long_pores = board.dashes(u, board.y, 3.6, 0.2, 120)
    short_pores = board.dashes(u + 0.4, board.y, 1.0, 0.24, 180)
    dip = ramp(-0.6, 0.6, ribbon)
    colour = lab(
        (46, 18, 24),
        (ribbon, (4.0, 0.7, 2.5)),
        (fine, (1.4, 0.2, 0.7)),
        (late, (-2.2, 0.6, -0.4)),
        (tint, (-0.5, 0.3, 0)),
        (board.streaks(u, board.y, 600, 22), (-1.7, 1.0, -0.6)),
        (board.streaks(u, board.y, 3, 0.13), (1.2, 0, 0.4)),
        (long_pores * dip, (-9, -1.5, -4)),
        (short_pores * (1 - dip), (-8, -1.5, -4)),
    )
    light = bench_light(board.shape, (-0.6, -0.4), 0.14)
    return photograph_board(colour, light, board.rng, (45, 18, 24))


def bog_oak() -> Array:
    """Quartersawn bog oak: near black, open early-wood pores, rays that catch the window."""
    board = Board(1503, SMALL, 110)
    u = board.x - 0.015 * board.y + 1.0 * board.patches(110, 30)
    u = u + 0.12 * board.patches(16, 3)
    late, tint = grow(board.rng, 220, 1.7, 0.42, 0.7, 0.12).read(u + 50)
    porous = (1 - ramp(0.02, 0.25, late)) * ramp(-1.6, 0.8, board.streaks(u, board.y, 60, 1.2))
    pores = board.dashes(u, board.y, 3.0, 0.24, 300) * (0.30 + 0.70 * porous)
    small = board.dashes(u, board.y, 1.2, 0.15, 260)
    lean = board.y + 0.45 * board.x + 0.6 * board.patches(9, 9)
    rays = ramp(1.1, 2.2, board.streaks(u + 0.4 * board.patches(12, 6), lean, 0.9, 3.0))
    rays = rays * ramp(-0.5, 1.0, board.patches(26, 16))
    colour = lab(
        (21, 1.6, 4.2),
        (late, (-1.3, -0.1, -0.5)),
        (tint, (0.6, 0.2, 0.4)),
        (board.streaks(u, board.y, 700, 14), (1.3, 0.5, 1.2)),
        (board.streaks(u, board.y, 6, 0.14), (1.3, 0.1, 0.3)),
        (pores, (-9, -0.6, -2)),
        (small, (-3.5, 0, -0.6)),
        (rays, (3.8, 0.5, 1.5)),
    )
    light = bench_light(board.shape, (0.7, -0.3), 0.2)
    return photograph_board(colour, light, board.rng, (20, 1.5, 3.5))


def _sycamore_structure(board: Board, curl_mm: float) -> dict[str, Array]:
    """What plain and dyed sycamore share: curl, ray lace, faint rings and fibres."""
    u = board.x + 0.01 * board.y + 0.8 * board.patches(100, 30)
    wave = board.y / curl_mm * 2 * np.pi + 2.1 * board.patches(26, 11) + 0.25 * board.x
    strength = ramp(-0.9, 1.6, board.patches(50, 20))
    late, tint = grow(board.rng, 240, 3.4, 0.3, 0.16, 0.18).read(u + 40)
    return {
        "u": u,
        "curl": chatoyance(np.sin(wave), 1.2) * strength,
        "late": late,
        "tint": tint,
        "lace": board.dashes(u, board.y, 1.5, 0.32, 420),
        "fibres": board.streaks(u, board.y, 5, 0.12),
        "wide": board.streaks(u, board.y, 500, 25),
    }


def sycamore() -> Array:
    """Quartersawn sycamore: cream, a faint curl, the fine lace of its rays."""
    board = Board(1607, SMALL, 110)
    s = _sycamore_structure(board, 8.5)
    colour = lab(
        (85, 2.8, 16.5),
        (s["curl"], (1.7, -0.3, -0.8)),
        (s["late"], (-2.0, 0.8, 1.4)),
        (s["tint"], (-0.3, 0.15, 0.3)),
        (s["lace"], (-3.2, 1.5, 2.2)),
        (s["fibres"], (0.7, 0, -0.1)),
        (s["wide"], (-0.8, 0.3, 0.8)),
    )
    light = bench_light(board.shape, (-0.5, -0.5), 0.07, 0.07)
    return photograph_board(colour, light, board.rng, (84, 3, 17))


def verdigris() -> Array:
    """Sycamore veneer dyed blue-green: the dye goes deeper where the wood drinks."""
    board = Board(1709, SMALL, 110)
    s = _sycamore_structure(board, 7.0)
    drink = board.patches(16, 7) + 0.6 * board.patches(5, 2.2)
    tide = np.exp(-(((board.y - 150 - 5 * board.patches(18, 14)) / 3.5) ** 2))
    colour = lab(
        (49, -22, 1),
        (s["curl"], (2.2, -1.0, 0.6)),
        (s["late"], (-3.0, 0.8, -1.6)),
        (s["tint"], (-0.7, 0.3, -0.4)),
        (s["lace"], (4.2, 2.0, 2.4)),
        (s["fibres"], (1.5, 0.3, 0.2)),
        (board.streaks(s["u"], board.y, 300, 1.6), (-1.3, 0.6, -1.0)),
        (drink, (-2.1, 0.2, -1.8)),
        (s["wide"], (-1.8, -0.9, -1.4)),
        (tide, (-3.2, 0.8, -2.2)),
        (board.dashes(s["u"], board.y, 2.2, 0.16, 90), (-5, 2, -2)),
    )
    light = bench_light(board.shape, (0.5, -0.6), 0.12)
    return photograph_board(colour, light, board.rng, (48, -22, 2))


def black_wood() -> Array:
    """An unlabelled black hardwood: dense, fine-pored, a brown streak or two."""
    board = Board(1801, SMALL, 90)
    u = board.x + 0.02 * board.y + 1.1 * board.patches(80, 20)
    streak = ramp(0.9, 2.3, board.streaks(u, board.y, 160, 2.6))
    colour = lab(
        (16.5, 1.4, 1.6),
        (streak, (5.5, 2.6, 4.2)),
        (board.streaks(u, board.y, 300, 10), (0.9, 0.3, 0.4)),
        (board.streaks(u, board.y, 4, 0.12), (0.9, 0, 0.1)),
        (board.dashes(u, board.y, 1.1, 0.12, 260), (-4, -0.3, -0.5)),
    )
    light = bench_light(board.shape, (-0.6, -0.5), 0.22)
    return photograph_board(colour, light, board.rng, (17, 2, 2.5))
