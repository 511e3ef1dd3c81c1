"""Mother-of-pearl and bone: what light does in layered nacre, and what it does not in bone."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter

from demo_assets.render.camera import bench_light, photograph_board
from demo_assets.render.grain import Board, lab
from demo_assets.render.noise import Array, clouds, ramp

BLANK = (1000, 1400)


def mother_of_pearl() -> Array:
    """A sawn blank of silver shell: layers cut at a slant, each a film that picks a colour."""
    board = Board(2106, BLANK, 46)
    rng, shape = board.rng, board.shape
    fold = board.patches(4.2, 7.5) + 0.42 * board.patches(1.7, 3.0) + 0.10 * board.patches(0.8, 1.3)
    swirl = board.patches(5, 4) + 0.3 * board.patches(1.5, 1.2)
    # The cut climbs through the layers: their edges run as bands, bent by every fold.
    height = 0.23 * board.x + 0.42 * board.y + 2.3 * fold + 0.5 * swirl
    tilt_y, tilt_x = np.gradient(gaussian_filter(height, 3), 1 / board.scale)
    facing = tilt_x * 0.8 + tilt_y * 0.35
    facing = (facing - facing.mean()) / facing.std()
    glint = np.exp(-(((facing - 0.5) / 0.75) ** 2))
    flame = np.tanh(1.1 * facing)
    phase = 2 * np.pi * (0.085 * height + 0.16 * facing + 0.12 * swirl)
    play = 0.45 + 0.55 * ramp(-1.0, 1.2, clouds(rng, shape, slope=1.8, coarsest=2))
    bands = np.sin(2 * np.pi * height * 0.62 + 1.5 * swirl)
    hair = np.sin(2 * np.pi * height * 3.7 + 3 * swirl) * ramp(-0.5, 1.5, fold)
    milk = gaussian_filter(rng.standard_normal(shape), 1.2) * 4
    colour = lab(
        (83, 0.3, 2.2),
        (glint, (8.0, 0.2, -0.8)),
        (flame, (2.6, 0.2, 0.4)),
        (play * np.cos(phase), (0.6, 6.2, 0.6)),
        (play * np.sin(phase), (0.3, -1.6, 4.2)),
        (bands, (0.9, 0.3, -0.5)),
        (hair, (0.7, 0, 0.3)),
        (milk, (0.25, 0, 0)),
    )
    light = bench_light(shape, (-0.5, -0.6), 0.05, 0.07)
    return photograph_board(colour, light, rng, (84, 0.5, 2.5))


def bone() -> Array:
    """A bleached bone blank: cream, faint canals along it, almost nothing else."""
    board = Board(2203, (900, 1400), 60)
    along, across = board.x, board.y
    canals = board.dashes(across, along, 1.6, 0.09, 110)
    colour = lab(
        (88, 0.6, 11),
        (board.streaks(across, along, 30, 2.2), (-0.6, 0.15, 0.8)),
        (board.patches(9, 16), (-0.6, 0.2, 0.9)),
        (board.streaks(across, along, 3, 0.12), (0.4, 0, -0.1)),
        (canals, (-2.2, 0.5, 1.6)),
    )
    light = bench_light(board.shape, (0.5, -0.5), 0.08, 0.08)
    return photograph_board(colour, light, board.rng, (87, 0.8, 12))
