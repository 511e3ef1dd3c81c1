"""Brass sheet, brushed along its length, as it lies under a bench window."""

from __future__ import annotations

import numpy as np

from demo_assets.render.camera import bench_light, photograph_board
from demo_assets.render.grain import Board, lab
from demo_assets.render.noise import Array, clouds, ramp

SHEET = (1000, 1400)


def brass() -> Array:
    """Half a millimetre of brass: brushing, a few wayward scratches, the window's soft band."""
    board = Board(3104, SHEET, 140)
    rng, shape = board.rng, board.shape
    # Brushed left to right, so along the brushing is x here.
    bow = board.y + 0.0006 * (board.x - 70) ** 2
    brush = board.streaks(bow, board.x, 26, 0.1)
    heavy = board.streaks(bow, board.x, 50, 0.35)
    lean = bow + 0.035 * board.x
    scratches = board.dashes(lean, board.x, 34, 0.1, 0.7) - board.dashes(
        lean, board.x, 25, 0.1, 0.6
    )
    # A brushed sheet smears a reflection across the brushing: bands, not shapes.
    buckle = 5 * clouds(rng, shape, slope=2.6, stretch=2.0, coarsest=1)
    seen = (board.y + buckle + 0.10 * board.x) / 100
    window = np.exp(-(((seen - 0.34) / 0.15) ** 2)) + 0.45 * np.exp(-(((seen - 0.80) / 0.08) ** 2))
    dull = np.exp(-(((seen - 0.62) / 0.14) ** 2))
    tarnish = ramp(0.3, 2.2, clouds(rng, shape, slope=1.7, coarsest=2))
    colour = lab(
        (62, 5.5, 35),
        (window, (14, -2.2, -5.5)),
        (dull, (-7, 1.4, 2.0)),
        (brush, (2.3, -0.1, -0.3)),
        (heavy, (1.3, 0, -0.2)),
        (scratches, (9, -0.5, -3)),
        (tarnish, (-4.5, 2.2, 1.2)),
    )
    light = bench_light(shape, (-0.4, -0.5), 0.1, 0.12)
    return photograph_board(colour, light, rng, (66, 5, 35))
