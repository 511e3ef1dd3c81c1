"""How high everything lies: the faces of top and back with their arch, the board, nut and saddle.

The rims of the sides are plane, as the sheets have them, and the plates lie on them. What the
instrument's numbers leave open is usual: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brief.instrument.drawing.side import BOARD_MM, SADDLE_MM, depth_at
from brief.instrument.model.contacts import blanks_mm
from brief.instrument.outline.outlines import saddle_y, treble_outline
from brief.instrument.presets import Preset
from brief.instrument.solid.making.surface import Floats

TOP_ARCH_MM, BACK_ARCH_MM = 7600.0, 4600.0
"""Radius of the dish across the lower bout, 25 and 15 feet: common practice, no source."""
NUT_CLEAR_MM = 0.4  # of a string over the first fret, at the nut


@dataclass(frozen=True)
class Levels:
    """The heights of one instrument, mm; functions take x and y of the drawing."""

    preset: Preset

    def thick(self, role: str) -> float:
        """What a part is thick when it is finished, as the cut list has it."""
        return blanks_mm(self.preset)[role][2]

    @cached_property
    def neck(self) -> float:
        """The upper plane of the neck, level with the top where they meet."""
        return self.thick("top")

    def rim(self, y: Floats) -> Floats:
        """The lower rim of the sides, straight from neck to tail as `depth_at` has it."""
        ends = [-depth_at(self.preset, at) for at in (0.0, self.preset.body_mm)]
        return np.interp(y, [0.0, self.preset.body_mm], ends)

    def top_inside(self, x: Floats, y: Floats) -> Floats:
        """The glued face of the top."""
        return self._arch(x, y) / (2 * TOP_ARCH_MM)

    def top(self, x: Floats, y: Floats) -> Floats:
        """The face of the top."""
        return self.top_inside(x, y) + self.thick("top")

    def back_inside(self, x: Floats, y: Floats) -> Floats:
        """The glued face of the back."""
        return self.rim(y) - self._arch(x, y) / (2 * BACK_ARCH_MM)

    def back(self, x: Floats, y: Floats) -> Floats:
        """The outer face of the back."""
        return self.back_inside(x, y) - self.thick("back")

    def board(self, x: Floats, y: Floats) -> Floats:
        """The rounded face of the fretboard."""
        board, preset = self.preset.fretboard, self.preset
        z = np.full(np.shape(x), self.neck + BOARD_MM)
        if not preset.radius_mm:
            return z
        along = np.clip(y - preset.nut_y, 0.0, board.length_mm)
        radius = preset.radius_mm + (preset.radius_end_mm - preset.radius_mm) * (
            along / board.length_mm
        )
        return z - radius + np.sqrt(np.maximum(radius**2 - x**2, 0.0))

    @cached_property
    def saddle(self) -> float:
        """The upper edge of the saddle at the centre line, if it is not rounded."""
        at = np.array([0.0]), np.array([saddle_y(self.preset)])
        return float(self.top(*at)[0]) + self.thick("bridge") + SADDLE_MM

    def saddle_top(self, x: Floats, y: Floats) -> Floats:
        """The upper edge of the saddle, rounded as the board is at its end."""
        radius = self.preset.radius_end_mm
        drop = radius - np.sqrt(np.maximum(radius**2 - x**2, 0.0)) if radius else 0.0
        return np.full(np.shape(x), self.saddle) - drop

    def nut_top(self, x: Floats, y: Floats) -> Floats:
        """The upper edge of the nut, which follows the board."""
        nut = np.full(np.shape(x), self.preset.nut_y)
        return self.board(x, nut) + self.thick_nut - BOARD_MM

    @cached_property
    def thick_nut(self) -> float:
        """How high a nut is, from the neck."""
        return blanks_mm(self.preset)["nut"][1]

    @cached_property
    def _half(self) -> tuple[Floats, Floats]:
        """Down the body, and the square of half its width there without a cutaway."""
        run = np.array(treble_outline(self.preset, plain=True))
        return np.maximum.accumulate(run[:, 1]), run[:, 0] ** 2

    def _arch(self, x: Floats, y: Floats) -> Floats:
        """w² - x², nought at the rim; nothing where the board lies and in a cutaway."""
        down, square = self._half
        preset, tail = self.preset, self.preset.body_mm
        start = max(
            preset.nut_y + preset.fretboard.length_mm,
            preset.cutaway_length_mm if preset.cutaway_depth_mm else 0.0,
        )
        start = min(max(start, 0.0), 0.6 * tail)
        share = np.clip((y - start) / (0.4 * (tail - start)), 0.0, 1.0)
        risen = share * share * (3 - 2 * share)
        reach = np.maximum(np.interp(y, down, square) - x * x, 0.0)
        raised: Floats = reach * risen
        return raised
