"""Which parts touch and along what length, how much of each is seen, and the blank each needs.

Worked out of the preset's own sizes. What those leave open (edges of an inlay, the allowance
on a blank) is typical: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from brief.instrument.frets.fret_lines import board_corners
from brief.instrument.outline.outlines import (
    NUT_MM,
    area_of,
    body_outline,
    head_outline,
    length_of,
    side_lengths_mm,
)
from brief.instrument.presets import Preset

INLAY_EDGE_MM, INLAY_AREA_MM2, INLAY_LINE_MM = 90.0, 160.0, 0.8
INLAY_THICK_MM = 0.8
SADDLE_MM = 3.0
HEEL_MM = 80.0
SIDE_SPARE_MM, STRIP_SPARE_MM = 40.0, 30.0  # of length, to be trimmed off sides and strips
NECK_ROUND = 1.4  # half round: the back of a neck is that much wider than its board
TUNER_MM2 = 320.0
TAILPIECE_MM2 = 3600.0
ELSEWHERE_MM2 = 200.0  # a part that is not on the list of its kind of instrument
RINGS = 400  # that a disc is cut into


@dataclass(frozen=True)
class Touching:
    """Two parts that touch.

    Attributes
    ----------
    role, ground : str
        The one laid into or along the other, and that other.
    length_mm : float
        Of the edge between them, all its sides.
    line_mm : float or None
        Width of `role` where it is a line in its ground; None where it is a part of its own.
    """

    role: str
    ground: str
    length_mm: float
    line_mm: float | None = None


@dataclass(frozen=True)
class LetIn:
    """The maker's own design let into a part, all copies together.

    Attributes
    ----------
    role, ground : str
        What it goes by, and the part it is on.
    line_mm : float
        Its thinnest place.
    """

    role: str
    ground: str
    area_mm2: float
    edge_mm: float
    line_mm: float


def contacts(preset: Preset, let_in: Sequence[LetIn] = ()) -> tuple[Touching, ...]:
    """The visible contacts of the parts that this kind of instrument has.

    `let_in` adds those of the maker's own designs; on the fretboard they replace the usual inlay.
    """
    roles = {part.role for part in preset.parts}
    usual = tuple(one for one in _usual(preset) if not (one.role == "inlay" and _own_marks(let_in)))
    return usual + tuple(
        Touching(one.role, one.ground, one.edge_mm, one.line_mm)
        for one in let_in
        if one.ground in roles
    )


@lru_cache(maxsize=64)  # of the same instrument, for every page
def _usual(preset: Preset) -> tuple[Touching, ...]:
    """Those of the parts that it has."""
    around = length_of(body_outline(preset))
    board = board_length_mm(preset)
    over_body = board + preset.nut_y
    end = preset.fretboard.width_mm(board)
    rings = preset.hole.rosette_mm
    bridge = preset.bridge
    all_known = (
        Touching("purfling", "top", around, preset.purfling_mm),
        Touching("binding", "purfling", around),
        Touching("binding", "sides", around),
        Touching("sides", "back", around),
        Touching(
            "rosette",
            "top",
            sum(2 * math.pi * r * (1 - _under_board(preset, r)) for ring in rings for r in ring),
            min(outer - inner for inner, outer in rings),
        ),
        Touching("fretboard", "top", 2 * over_body + end),
        Touching("bridge", "top", 2 * (bridge.width_mm + bridge.depth_mm)),
        Touching("saddle", "bridge", 2 * bridge.spread_mm, SADDLE_MM),
        Touching("inlay", "fretboard", INLAY_EDGE_MM, INLAY_LINE_MM),
        Touching("nut", "fretboard", preset.nut_mm),
        Touching("nut", "headplate", preset.nut_mm),
        Touching("fretboard", "neck", 2 * -preset.nut_y),
        Touching("headplate", "neck", length_of(head_outline(preset))),
        Touching("neck", "sides", 2 * HEEL_MM),
        Touching("neck", "back", HEEL_MM / 2),
    )
    roles = {part.role for part in preset.parts}
    return tuple(one for one in all_known if {one.role, one.ground} <= roles)


def areas_mm2(preset: Preset, let_in: Sequence[LetIn] = ()) -> dict[str, float]:
    """How much of each part is seen, from all sides together, and of what is let into them."""
    body, around = area_of(body_outline(preset)), length_of(body_outline(preset))
    board = board_length_mm(preset)
    fretboard = board * preset.fretboard.width_mm(board / 2)
    bridge = preset.bridge.width_mm * preset.bridge.depth_mm
    rosette = sum(
        _seen_within(preset, r) - _seen_within(preset, q) for q, r in preset.hole.rosette_mm
    )
    edge = around * (preset.binding_mm + preset.purfling_mm)
    saddle = preset.bridge.spread_mm * SADDLE_MM
    # The hole is seen within its radius, but for what the board covers of it.
    hole = _seen_within(preset, preset.hole.diameter_mm / 2)
    known = {
        "top": body - hole - rosette - edge - bridge - board_over_body_mm2(preset),
        "back": body,
        "sides": sides_mm2(preset),
        "neck": -preset.nut_y * preset.fretboard.width_mm(-preset.nut_y / 2) * NECK_ROUND
        + area_of(head_outline(preset)),
        "headplate": area_of(head_outline(preset)),
        "fretboard": fretboard - (0.0 if _own_marks(let_in) else INLAY_AREA_MM2),
        "bridge": bridge - saddle,
        "binding": around * 2 * preset.binding_mm,  # its top and its side
        "purfling": around * preset.purfling_mm,
        "rosette": rosette,
        "inlay": INLAY_AREA_MM2,
        "nut": preset.nut_mm * NUT_MM,
        "saddle": saddle,
        "tuners": preset.strings * TUNER_MM2,
        "tailpiece": TAILPIECE_MM2,
    }
    found = {part.role: known[part.role] for part in preset.parts if part.role in known}
    for one in let_in:
        # Never less than nothing, whatever a changed number has made of the part.
        found[one.ground] = max(0.0, found.get(one.ground, 0.0) - one.area_mm2)
        found[one.role] = found.get(one.role, 0.0) + one.area_mm2
    return found


def _own_marks(let_in: Sequence[LetIn]) -> bool:
    """Whether the fretboard has an inlay of the maker's own in place of the usual one."""
    return any(one.ground == "fretboard" for one in let_in)


def blanks_mm(preset: Preset) -> dict[str, tuple[float, float, float]]:
    """The least length, width and thickness of a piece that each part can be cut from."""
    side = max(length for _, length in side_lengths_mm(preset))
    across, along = zip(*head_outline(preset), strict=True)
    head_length, head_width = max(along) - min(along), max(across) * 2
    board = board_length_mm(preset)
    corners = [y for _, y in board_corners(preset)]
    plate = preset.body_mm + 15, preset.width_mm / 2 + 8
    known = {
        "top": (*plate, 2.8),
        "back": (*plate, 2.6),
        "sides": (side + SIDE_SPARE_MM, max(preset.side_neck_mm, preset.side_tail_mm) + 8, 2.2),
        "neck": (-preset.nut_y + head_length + 60, head_width, 18.0),
        "headplate": (head_length + 8, head_width + 4, 1.2),
        "fretboard": (max(corners) - min(corners) + 8, preset.fretboard.width_mm(board) + 4, 6.0),
        "bridge": (preset.bridge.width_mm + 6, preset.bridge.depth_mm + 4, 9.0),
        "binding": (side + STRIP_SPARE_MM, 6.0, preset.binding_mm),
        "purfling": (side + STRIP_SPARE_MM, 1.5, 0.4),
        "rosette": (40.0, 8.0, 0.5),
        "inlay": (12.0, 10.0, INLAY_THICK_MM),
        "nut": (preset.nut_mm + 2, 8.0, NUT_MM),
        "saddle": (preset.bridge.spread_mm + 16, 8.0, SADDLE_MM),
        "tuners": (20.0, 15.0, 6.0),
        "tailpiece": (90.0, 40.0, 1.0),
    }
    return {part.role: known[part.role] for part in preset.parts if part.role in known}


@lru_cache(maxsize=64)
def sides_mm2(preset: Preset) -> float:
    """Both sides together, which taper straight from the neck to the tail."""
    start, taper = preset.side_neck_mm, preset.side_tail_mm - preset.side_neck_mm
    return sum(
        math.dist(a, b) * (start + taper * (a[1] + b[1]) / 2 / preset.body_mm)
        for a, b in pairwise(body_outline(preset))
    )


def board_length_mm(preset: Preset) -> float:
    """From the nut to the end of the fretboard."""
    return preset.fretboard.length_mm


def board_over_body_mm2(preset: Preset) -> float:
    """What the fretboard covers of the body, hole and rosette included."""
    board = board_length_mm(preset)
    return (board + preset.nut_y) * preset.fretboard.width_mm((board - preset.nut_y) / 2)


def _under_board(preset: Preset, radius_mm: float) -> float:
    """The share, 0 to 1, of a circle about the sound hole that the fretboard covers."""
    end = board_length_mm(preset)
    half = preset.fretboard.width_mm(end) / 2
    reaches = end + preset.nut_y - (preset.hole.centre_mm - radius_mm)  # beyond its nearest point
    if reaches <= 0 or radius_mm <= 0:
        return 0.0
    # As far round as the board is wide, or as far down as it reaches, whichever is less.
    wide = math.asin(min(1.0, half / radius_mm))
    far = math.acos(max(-1.0, 1 - reaches / radius_mm))
    return min(wide, far) / math.pi


@lru_cache(maxsize=256)  # the same few rings of the same instrument, for every page
def _seen_within(preset: Preset, radius_mm: float) -> float:
    """Of the disc about the sound hole, mm², what the fretboard leaves: ring by ring."""
    step = radius_mm / RINGS
    radii = [(i + 0.5) * step for i in range(RINGS)]
    return sum(2 * math.pi * r * step * (1 - _under_board(preset, r)) for r in radii)
