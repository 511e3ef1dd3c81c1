"""The piece of a board that a pairing shows and that its line is judged in: 60 x 40 mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PIL import Image
from PIL.Image import Image as Photo

from brief.colour import xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.viewing.observer import LinePiece
from brief.photo.lightness import LINEAR

WIDTH_MM, HEIGHT_MM, PX_PER_MM = 60, 40, 12
STRIPS = 4  # of 15 mm: how much of a line's length the eye sums, set with the thresholds
ROWS_PX = 2


def cut_piece(board: Photo, mm_per_px: float) -> Photo:
    """The middle of a board, 720 x 480 px; one that shows less is mirrored at its edges.

    `mm_per_px` is that of the board's picture, above 0.
    """
    finest = 1 / PX_PER_MM
    if mm_per_px < finest:  # more is never shown, and mirrored it would fill the memory
        smaller = [max(1, round(side * mm_per_px / finest)) for side in board.size]
        board, mm_per_px = board.resize((smaller[0], smaller[1]), Image.Resampling.BOX), finest
    wanted = [math.ceil(mm / mm_per_px) for mm in (WIDTH_MM, HEIGHT_MM)]
    levels = np.asarray(board)
    lacking = [
        max(0, want - have) for want, have in zip(wanted, (board.width, board.height), strict=True)
    ]
    beside = [(math.ceil(lack / 2), math.ceil(lack / 2)) for lack in lacking]
    padded = np.pad(levels, (beside[1], beside[0], (0, 0)), mode="symmetric")
    left, top = ((have - want) // 2 for have, want in zip(padded.shape[1::-1], wanted, strict=True))
    part = Image.fromarray(padded[top : top + wanted[1], left : left + wanted[0]])
    return part.resize((WIDTH_MM * PX_PER_MM, HEIGHT_MM * PX_PER_MM), Image.Resampling.BICUBIC)


def rows_of(piece: Photo, board_lab: Sequence[float]) -> LinePiece:
    """The piece as a line from side to side meets it: the mean light of its rows, strip by strip.

    `board_lab` is the CIELAB of the board as it was shot, which is taken off the rows.
    """
    linear = LINEAR[np.asarray(piece.convert("RGB"))]
    high, wide = linear.shape[0] // ROWS_PX, linear.shape[1] // STRIPS
    means = linear.reshape(high, ROWS_PX, STRIPS, wide, 3).mean(axis=(1, 3)).swapaxes(0, 1)
    return LinePiece(xyz_to_lab(means @ SRGB_TO_XYZ.T) - np.asarray(board_lab), ROWS_PX / PX_PER_MM)
