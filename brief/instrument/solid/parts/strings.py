"""The strings with their gauges, from the posts over nut and saddle to where they are held."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from brief.instrument.drawing.parts.neck import post_places
from brief.instrument.drawing.side import CROWN_MM
from brief.instrument.frets.fret_lines import lean
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.outline.outlines import NUT_MM, behind_saddle_mm, bridge_turn, saddle_y
from brief.instrument.solid.making.surface import Floats, ShadedFaces, joined
from brief.instrument.solid.making.sweep import rounded, tube
from brief.instrument.solid.parts.bridge import (
    SADDLE_ROLL_MM,
    TIE_BLOCK_MM,
    bridge_top,
    end_y,
    pin,
    tailpiece_low,
)
from brief.instrument.solid.parts.levels import NUT_CLEAR_MM, Levels
from brief.instrument.solid.parts.tuners import winding, wound_at

LEAVES_DEG = 42.0  # how steeply a string leaves the saddle
SUNK_MM = 0.05  # of a string in the saddle, so that no light comes between


def strings(levels: Levels) -> Iterator[tuple[str, str, ShadedFaces]]:
    """Name, role and surface of each string and of what holds it, bass to treble."""
    preset = levels.preset
    runs = zip(
        preset.gauges_mm,
        post_places(preset),
        string_places(preset, preset.nut_spread_mm),
        string_places(preset, preset.bridge.spread_mm),
        strict=True,
    )
    for number, (gauge, post, nut_x, x) in enumerate(runs, start=1):
        radius = gauge / 2
        nut = _over_nut(levels, nut_x, radius)
        saddle = _over_saddle(levels, x, radius)
        behind = rounded(np.array([saddle[-1], *_held(levels, x, radius)]))
        path = np.array([wound_at(levels, *post), *nut, *saddle, *behind[1:]])
        yield (
            f"string {number}",
            "strings",
            joined([tube(path, radius, 8), winding(levels, *post, gauge)]),
        )
        if preset.bridge.hold == "pins":
            yield f"pin {number}", "pins", pin(levels, x, end_y(preset, saddle_y(preset, x)))


def _over_nut(levels: Levels, x: float, radius: float) -> list[Floats]:
    """Where a string comes to the nut from the head, and where it leaves it."""
    preset = levels.preset
    off = lean(preset, 0) * x
    at, y = np.array([x]), np.array([preset.nut_y])
    z = float(levels.board(at, y)[0]) + CROWN_MM + NUT_CLEAR_MM + radius
    return [
        np.array([x, preset.nut_y - NUT_MM + off, z - 0.35]),
        np.array([x, preset.nut_y + off, z]),
    ]


def _over_saddle(levels: Levels, x: float, radius: float) -> list[Floats]:
    """Over the saddle's middle and down its round edge."""
    y = saddle_y(levels.preset, x)
    z = float(levels.saddle_top(np.array([x]), np.array([y]))[0])
    turns = np.radians([0.0, 15.0, 30.0, LEAVES_DEG])
    edge = SADDLE_ROLL_MM
    return [
        np.array(
            [
                x,
                y + (edge + radius) * np.sin(turn),
                z - edge + (edge + radius) * np.cos(turn) - SUNK_MM,
            ]
        )
        for turn in (turns if levels.preset.bridge.hold != "tailpiece" else turns[:2])
    ]


def _held(levels: Levels, x: float, radius: float) -> list[Floats]:
    """Behind the saddle: down beside its pin, through the tie block, or to the tailpiece."""
    preset = levels.preset
    saddle = saddle_y(preset, x)
    y = end_y(preset, saddle)
    if preset.bridge.hold == "tailpiece":
        low = float(tailpiece_low(levels, np.array([y]))[0])
        return [np.array([x, y, low + 1.6 + radius])]
    if preset.bridge.hold == "pins":
        front = y - 2.0
        z = float(bridge_top(levels, np.array([x]), np.array([front]))[0])
        return [np.array([x, front, z + radius * 0.4]), np.array([x, y - 0.8, z - 3.0])]
    # Into the valley, through the block, up behind it and back over it into its own loop.
    slant = math.tan(bridge_turn(preset))
    back = saddle_y(preset) + slant * x + behind_saddle_mm(preset) * math.hypot(1, slant)
    valley = saddle + 3.6
    z = float(levels.top(np.array([x]), np.array([valley]))[0])
    over = z + TIE_BLOCK_MM + radius
    return [
        np.array([x, valley, z + 5.6]),
        np.array([x, valley + 1.2, z + 4.4]),
        np.array([x, back - 0.2, z + 4.4]),
        np.array([x, back + radius, z + 5.0]),
        np.array([x, back + radius * 0.6, over - 0.8]),
        np.array([x, back - 1.0, over]),
        np.array([x, saddle + 5.6, over]),
        np.array([x + 2 * radius, saddle + 4.4, over - 1.2]),
        np.array([x + 2 * radius, valley - 0.4, z + 6.4]),
    ]
