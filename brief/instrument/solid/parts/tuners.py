"""The tuners: posts or rollers that the strings are wound on, what carries them, and buttons.

Their sizes are usual: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from brief.instrument.drawing.parts.neck import (
    SLOT_INNER_MM,
    SLOT_OUTER_MM,
    half_width,
    post_places,
)
from brief.instrument.drawing.side import neck_thick
from brief.instrument.outline.outlines import NUT_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.surface import Floats, ShadedFaces, joined
from brief.instrument.solid.making.sweep import pillow, tube, turned
from brief.instrument.solid.parts.levels import Levels
from brief.instrument.solid.parts.neck import leaning

ROLLER_MM, ROLLER_DEEP_MM = 3.0, 7.0  # radius, and its axis under the face of the head
POST_HIGH_MM = 13.0  # over the face of a solid head
WOUND_AT_MM = 6.0  # where a string leaves such a post
POST_WAIST_MM = 2.3  # radius of such a post there
TURNS = (0.0, 1.0, 0.7, 1.0, 0.7, 1.0, 0.0)
"""How far out a string is along its post, in gauges, each half a gauge on: three turns are common
practice, no source."""
OUT_MM = 5.5  # of a button from the side of a solid head


def tuners(levels: Levels) -> Iterator[tuple[str, str, ShadedFaces]]:
    """Name, role and surface of the metal and the button for each string, bass to treble."""
    preset = levels.preset
    for number, (x, y) in enumerate(post_places(preset), start=1):
        made = _slotted(levels, x, y) if preset.head.slotted else _solid(levels, x, y)
        metal, button = (leaning(levels, one) for one in made)
        yield f"post {number}", "posts", metal
        yield f"button {number}", "tuners", button


def wound_at(levels: Levels, x: float, y: float) -> Floats:
    """Where a string comes to its post, in space."""
    preset = levels.preset
    if preset.head.slotted:
        at = np.array([[x, y + ROLLER_MM * 0.3, levels.neck - ROLLER_DEEP_MM + ROLLER_MM]])
    else:
        side = -np.sign(x)
        at = np.array([[x + side * 2.4, y, _face(levels) + WOUND_AT_MM]])
    flat = ShadedFaces(at, np.zeros((0, 3), int), np.zeros((0, 3, 3)), np.zeros((0, 3, 2)))
    found: Floats = leaning(levels, flat).points[0]
    return found


def winding(levels: Levels, x: float, y: float, gauge: float) -> ShadedFaces:
    """The turns of a string on its post or roller."""
    solid = not levels.preset.head.slotted
    core = POST_WAIST_MM if solid else ROLLER_MM
    half = (len(TURNS) - 1) / 4
    along = gauge * np.linspace(-half, half, len(TURNS))
    profile = np.column_stack([along, core + gauge * np.array(TURNS)])
    if solid:
        at, way = [x, y, _face(levels) + WOUND_AT_MM], [0.0, 0.0, 1.0]
    else:
        at, way = [x, y, levels.neck - ROLLER_DEEP_MM], [1.0, 0.0, 0.0]
    return leaning(levels, turned(np.array(at), np.array(way), profile))


def _face(levels: Levels) -> float:
    return levels.neck + levels.thick("headplate")


def _flank(preset: Preset, x: float, y: float) -> float:
    """The side of the head beside a post."""
    return float(np.sign(x)) * half_width(preset, preset.nut_y - NUT_MM - y)


def _slotted(levels: Levels, x: float, y: float) -> tuple[ShadedFaces, ShadedFaces]:
    """A roller across its slot, the plate on the side of the head, a button that points back."""
    preset = levels.preset
    out, flank = np.sign(x), _flank(preset, x, y)
    z = levels.neck - ROLLER_DEEP_MM
    inner, outer = out * (SLOT_INNER_MM - 4), out * SLOT_OUTER_MM
    axis = np.array([[inner, y, z], [outer, y, z]])
    roller = tube(axis, ROLLER_MM, 16)
    thin = tube(np.array([[outer - out, y, z], [flank + out * 2.0, y, z]]), 2.0, 14)
    thick = neck_thick(preset)
    plate = pillow(np.array([flank + out * 0.7, y, z]), np.array([1.4, 32.0, 12.0]), 12.0, 8)
    worm = pillow(np.array([flank + out * 3.0, y, z - 1.0]), np.array([6.0, 8.0, 8.0]), 6.0, 12)
    reach = levels.neck - thick - 3.0
    stem = tube(np.array([[flank + out * 3.5, y, z], [flank + out * 3.5, y, reach - 2.0]]), 1.5, 12)
    button = pillow(
        np.array([flank + out * 3.5, y, reach - 8.5]), np.array([8.0, 13.0, 17.0]), 3.2, 16
    )
    return joined([roller, thin, plate, worm, stem]), button


def _solid(levels: Levels, x: float, y: float) -> tuple[ShadedFaces, ShadedFaces]:
    """A post through the head, its housing behind, and a button beside it."""
    preset = levels.preset
    out, flank, face = np.sign(x), _flank(preset, x, y), _face(levels)
    thick = neck_thick(preset)
    up = np.array([0.0, 0.0, 1.0])
    post = turned(
        np.array([x, y, face - 1.0]),
        up,
        np.array(
            [
                [0.0, 5.0], [1.6, 5.0], [2.2, 4.4], [2.2, 3.0], [4.0, 2.8],
                [6.5, POST_WAIST_MM], [9.0, 2.8],
                [POST_HIGH_MM, 3.0], [POST_HIGH_MM + 0.8, 2.3],
            ]
        ),
        16,
    )  # fmt: skip
    low = levels.neck - thick
    housing = pillow(np.array([x, y, low - 5.0]), np.array([16.0, 18.0, 12.0]), 6.0, 16)
    stem_z = low - 5.0
    stem = tube(np.array([[x, y, stem_z], [flank + out * (OUT_MM + 1), y, stem_z]]), 1.6, 14)
    button = pillow(
        np.array([flank + out * (OUT_MM + 5.0), y, stem_z]), np.array([10.0, 15.0, 9.0]), 2.8, 16
    )
    return joined([post, housing, stem]), button
