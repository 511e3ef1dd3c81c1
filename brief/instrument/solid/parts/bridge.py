"""The bridge, its tie block or pins, the saddle, and a tailpiece.

Heights that the sheets leave open are usual: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from brief.instrument.drawing.parts.body import TAILPIECE_MM
from brief.instrument.drawing.side import SADDLE_MM as SADDLE_OVER_MM
from brief.instrument.model.contacts import SADDLE_MM
from brief.instrument.outline.outlines import (
    SADDLE_BEYOND_MM,
    bridge_front_y,
    bridge_outline,
    bridge_turn,
    on_top,
    saddle_y,
)
from brief.instrument.plans.tables import PIN_BEHIND_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.plate import plate
from brief.instrument.solid.making.surface import Floats, ShadedFaces, smooth_normals
from brief.instrument.solid.making.sweep import turned
from brief.instrument.solid.parts.levels import Levels

WING_MM = 3.5  # of a bridge at its ends, over the top
PYRAMID_SHARE = 0.72  # of the bridge's thickness, is a low pyramid high
RISE_MM = 14.0  # along which a wing rises to the middle
TIE_BLOCK_MM = 8.4  # over the top
VALLEY_MM = (2.4, 3.9, 4.9)  # behind the saddle: where it begins and ends, and the block begins
EDGE_MM = 0.6
SADDLE_ROLL_MM = 0.45 * SADDLE_MM
SLOT_MM = 4.5  # of the bridge, that the saddle stands in
PIN_MM, PIN_HIGH_MM = 2.7, 2.6


def bridge(levels: Levels, pockets: Sequence[tuple[Any, float]] = ()) -> ShadedFaces:
    """The bridge, whose foot follows the arch of the top."""
    import shapely

    preset = levels.preset
    shape = shapely.Polygon(bridge_outline(preset))
    made = plate(
        shape,
        levels.top,
        lambda x, y: bridge_top(levels, x, y),
        spacing=4.0,
        roll=EDGE_MM,
        pockets=pockets,
        lines=_kinks(levels),
        most=4.0,
    )
    # Its photograph is turned along with it.
    x, y = _square_to_it(preset, made.places[..., 0], made.places[..., 1])
    places = np.stack([x, y], axis=-1)
    return replace(made, places=places, normals=smooth_normals(made.points, made.faces))


def _kinks(levels: Levels) -> list[Any]:
    """Lines across a bridge with a tie block along which its face bends."""
    import shapely

    preset, middle = levels.preset, saddle_y(levels.preset)
    if preset.bridge.hold != "tie":
        return []
    start, end, block = VALLEY_MM
    reach = preset.bridge.width_mm
    behind = [start, (start + end) / 2, end, (end + block) / 2, block]
    return [
        shapely.LineString(on_top(preset, [(x, middle + off) for x in (-reach, reach)]))
        for off in behind
    ]


def _share(levels: Levels, x: Floats, y: Floats) -> Floats:
    """How high a bridge is at a place, of its thickness."""
    preset, thick = levels.preset, levels.thick("bridge")
    made = preset.bridge
    x, y = _square_to_it(preset, x, y)
    back = (y - bridge_front_y(preset)) / made.depth_mm
    middle = made.spread_mm / 2 + (11.0 if made.hold == "tie" else 9.0)
    beyond = np.abs(x) - middle
    if made.hold == "tailpiece":  # stands free, and is held up in the middle of its length
        return 1 - 0.45 * _risen(beyond / RISE_MM) * np.ones(np.shape(y))
    wing = WING_MM / thick
    if made.shape == "pyramid":
        # The ends are cut to low pyramids, and the rest is as high as it is under the strings.
        reach = (made.width_mm / 2 - np.abs(x)) / (made.depth_mm * 0.9)
        faces = 2 * np.minimum(back, 1 - back) + 3 * np.maximum(reach - 0.6, 0.0)
        end = np.minimum(2 * reach, faces)
        facet = wing + (PYRAMID_SHARE - wing) * end + 10 * np.maximum(end - 1, 0.0)
        cut: Floats = np.minimum(facet, 1 - (1 - PYRAMID_SHARE) * _risen(beyond / 10.0))
        return cut
    down = _risen(beyond / RISE_MM)
    across = 1 - (0.25 if made.hold == "pins" else 0.0) * _risen((np.abs(back - 0.36) - 0.3) / 0.34)
    if made.hold == "tie":
        # A valley between the saddle's ridge and the block that strings are tied round.
        behind = y - saddle_y(preset)
        start, end, rises = VALLEY_MM
        up = _risen((behind - end) / (rises - end))
        valley = _risen((behind - start) / (end - start)) * (1 - up)
        block = up * (1 - TIE_BLOCK_MM / thick)
        across = 1 - 0.42 * valley - block
    return across + (wing - across) * down


def _square_to_it(preset: Preset, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Places as they would be if the bridge were not turned with its saddle."""
    turn, middle = bridge_turn(preset), saddle_y(preset)
    cos, sin = math.cos(turn), math.sin(turn)
    return x * cos + (y - middle) * sin, middle - x * sin + (y - middle) * cos


def _risen(share: Floats) -> Floats:
    held = np.clip(share, 0.0, 1.0)
    smooth: Floats = held * held * (3 - 2 * held)
    return smooth


def saddle(levels: Levels) -> ShadedFaces:
    """The saddle, in its slot, under every string."""
    import shapely

    preset = levels.preset
    reach, half = preset.bridge.spread_mm / 2 + SADDLE_BEYOND_MM, SADDLE_MM / 2
    bass, treble = saddle_y(preset, -reach), saddle_y(preset, reach)
    shape = shapely.Polygon(
        [
            (-reach, bass - half),
            (reach, treble - half),
            (reach, treble + half),
            (-reach, bass + half),
        ]
    )
    foot = levels.saddle - SADDLE_OVER_MM - SLOT_MM
    across = 2 * reach / math.hypot(2 * reach, treble - bass)  # one that leans is so much thinner
    return plate(
        shape,
        lambda x, y: np.full(np.shape(x), foot),
        levels.saddle_top,
        spacing=2.0,
        roll=SADDLE_ROLL_MM * across,
        most=3.0,
    )


def bridge_top(levels: Levels, x: Floats, y: Floats) -> Floats:
    """The upper face of the bridge."""
    high: Floats = levels.top(x, y) + levels.thick("bridge") * _share(levels, x, y)
    return high


def pin(levels: Levels, x: float, y: float) -> ShadedFaces:
    """One pin that holds a string."""
    z = float(bridge_top(levels, np.array([x]), np.array([y]))[0])
    turn = np.linspace(0.0, np.pi / 2, 5)
    head = np.column_stack([0.6 + 0.75 * PIN_HIGH_MM * np.sin(turn), PIN_MM * np.cos(turn)])
    profile = np.concatenate([[[-3.0, 2.2], [0.0, 2.2]], head])
    return turned(np.array([x, y, z]), np.array([0.0, 0.0, 1.0]), profile)


def tailpiece(levels: Levels) -> ShadedFaces:
    """The plate that the strings are hooked to, from the tail up to them."""
    import shapely

    preset = levels.preset
    tail, half = preset.body_mm, preset.bridge.spread_mm / 2 + 5
    start = tail - TAILPIECE_MM
    side = [(half, start), (half, start + 12), (half * 0.62, start + 40), (half * 0.5, tail)]
    shape = shapely.Polygon([*side, *((-x, y) for x, y in reversed(side))])

    def low(x: Floats, y: Floats) -> Floats:
        return tailpiece_low(levels, y)

    return plate(shape, low, lambda x, y: low(x, y) + 1.6, spacing=4.0, roll=0.5)


def tailpiece_low(levels: Levels, y: Floats) -> Floats:
    """The underside of the tailpiece: clear of the top at its strings, down on it at the tail."""
    tail = levels.preset.body_mm
    share = np.clip((tail - y) / TAILPIECE_MM, 0.0, 1.0)
    low: Floats = levels.neck + 0.1 + 6.0 * np.sqrt(share)
    return low


def end_y(preset: Preset, saddle: float) -> float:
    """Where a string ends behind its place on the saddle, as the flat picture has it."""
    if preset.bridge.hold == "tailpiece":
        return preset.body_mm - TAILPIECE_MM + 6
    return saddle + (PIN_BEHIND_MM if preset.bridge.hold == "pins" else preset.bridge.depth_mm / 2)
