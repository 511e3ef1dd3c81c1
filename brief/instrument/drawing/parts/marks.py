"""The usual marks in a fretboard before the 12th fret, for who has no design of their own."""

from __future__ import annotations

from dataclasses import dataclass

from brief.instrument.curve import Point
from brief.instrument.frets.fret_lines import turn_deg
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Box

BILL_MM = 1.0
"""How wide a bill is."""


@dataclass(frozen=True)
class UsualMarks:
    """A lens between the 11th and 12th frets with a dot on either side, mm of the drawing.

    Attributes
    ----------
    y : float
        Of their middle, about which they are turned clockwise by `turn` degrees.
    middle, long, thick : float
        The lens: its middle, half its length, and half its thickness; each edge is a parabola.
    dots, dot : tuple of float, float
        Their places across the board, and their radius.
    bill : tuple of points
        A thin curved line that runs on from the lens in place of the dots: start, two controls and
        end of a cubic Bezier curve; empty where there is none.
    box : Box
        What their material is laid on.
    """

    y: float
    turn: float
    middle: float
    long: float
    thick: float
    dots: tuple[float, ...]
    dot: float
    bill: tuple[Point, ...]
    box: Box


def usual_marks(preset: Preset, *, bill: bool) -> UsualMarks:
    """The marks of an instrument; `bill` says whether it has one."""
    board = preset.fretboard
    above, below = preset.nut_y + board.fret_mm(11), preset.nut_y + board.fret_mm(12)
    gap, width, y = below - above, board.width_mm(board.fret_mm(12)), (above + below) / 2
    middle, long = -0.17 * width if bill else 0.0, 0.22 * width
    start, drop = middle + long, 0.26 * gap
    run = 0.4 * width - start
    curve = ((0.0, 0.0), (0.4 * run, -0.4 * drop), (0.8 * run, -0.1 * drop), (run, drop))
    return UsualMarks(
        y=y,
        turn=turn_deg(preset, 11.5),
        middle=middle,
        long=long,
        thick=0.23 * gap,
        dots=() if bill else (-0.34 * width, 0.34 * width),
        dot=0.1 * gap,
        bill=tuple((start + x, y + down) for x, down in curve) if bill else (),
        box=(-width / 2, above, width, gap),
    )
