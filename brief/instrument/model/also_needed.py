"""What a maker buys besides the parts that are seen: the neck's stock, blocks, linings, strips.

All sizes that the instrument's numbers leave open are usual: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.instrument.model.contacts import STRIP_SPARE_MM, board_length_mm
from brief.instrument.model.cut_list import Cut
from brief.instrument.outline.outlines import NUT_MM, head_outline, side_lengths_mm
from brief.instrument.presets import Preset

Size = tuple[float, float, float]
HEAD_BACK_DEG, NECK_THICK_MM, TENON_MM = 14.0, 20.0, 25.0
HEEL_BLOCK_MM = (100.0, 62.0)
LINING_MM, BLOCK_MM, TAIL_MM = (6.0, 15.0), (80.0, 35.0), (80.0, 16.0)
PLATE_MM, GRAFT_MM, CAP_MM, STRIP_MM = (45.0, 2.5), (24.0, 2.2), (26.0, 34.0, 3.0), (6.0, 2.6)
RING_MM = 2.0
SPARE_MM = 4.0  # of length and of width
PLANED_MM = 1.0


@dataclass(frozen=True)
class Needed:
    """One line: `pieces` alike, finished and as a blank, length, width and thickness in mm.

    of : the role of the part whose wood it is of, "" where it is bought apart. way : the lines of
    one way to build it are alike in it, and one way is chosen; "" where there is only one.
    """

    name: str
    of: str
    pieces: int
    finished_mm: Size
    blank_mm: Size
    way: str = ""


def also_needed(preset: Preset) -> tuple[Needed, ...]:
    """The neck's stock in three ways, and what no part of the list shows."""
    tail, near = preset.side_tail_mm, preset.side_neck_mm
    rows = [
        *_necks(preset),
        *_linings(preset),
        _of("Neck block", "neck", 1, (near, *BLOCK_MM)),
        _of("Tail block", "neck", 1, (tail, *TAIL_MM)),
        _of("Heel cap", "", 1, (CAP_MM[0], CAP_MM[1], CAP_MM[2])),
        _of("End graft", "", 1, (tail, *GRAFT_MM)),
        _of("Back strip", "", 1, (preset.body_mm, *STRIP_MM)),
    ]
    if preset.bridge.hold == "pins":
        rows.append(_of("Bridge plate", "", 1, (preset.bridge.width_mm, *PLATE_MM)))
    for i, (inner, outer) in enumerate(preset.hole.rosette_mm, start=1):
        long = 2 * math.pi * outer
        rows.append(
            Needed(
                f"Rosette ring {i}",
                "rosette",
                1,
                (long, outer - inner, RING_MM),
                (long + STRIP_SPARE_MM, outer - inner + 1, RING_MM + 0.5),
            )
        )
    return tuple(rows)


def finished_mm(preset: Preset) -> dict[str, Size]:
    """Length, width and thickness of each part of the cut list as it ends, by role; no neck."""
    head, long = head_outline(preset), max(length for _, length in side_lengths_mm(preset))
    high, wide = max(y for _, y in head) - min(y for _, y in head), 2 * max(x for x, _ in head)
    board, deep = board_length_mm(preset), max(preset.side_neck_mm, preset.side_tail_mm)
    plate = preset.body_mm, preset.width_mm / 2
    return {
        "top": (*plate, 2.8),
        "back": (*plate, 2.6),
        "sides": (long, deep, 2.2),
        "headplate": (high, wide, 1.2),
        "fretboard": (board, preset.fretboard.width_mm(board), 6.0),
        "bridge": (preset.bridge.width_mm, preset.bridge.depth_mm, 9.0),
        "binding": (long, 6.0, preset.binding_mm),
        "purfling": (long, 1.5, 0.4),
        "nut": (preset.nut_mm, 8.0, NUT_MM),
        "saddle": (preset.bridge.spread_mm + 12, 8.0, 3.0),
    }


def of_cut(preset: Preset, cut: Cut) -> Needed:
    """A line of the cut list, finished and as a blank; a side is as long as that side is."""
    size = finished_mm(preset)[cut.role]
    if cut.role in ("sides", "binding", "purfling"):
        spare = 40.0 if cut.role == "sides" else STRIP_SPARE_MM
        size = (cut.length_mm - spare, *size[1:])
    return Needed(
        cut.name, cut.role, cut.pieces, size, (cut.length_mm, cut.width_mm, cut.thickness_mm)
    )


def _of(name: str, of: str, pieces: int, size: Size) -> Needed:
    length, width, thickness = size
    return Needed(
        name, of, pieces, size, (length + SPARE_MM, width + SPARE_MM, thickness + PLANED_MM)
    )


def _necks(preset: Preset) -> list[Needed]:
    """Out of one piece, with its heel stacked, or with its head scarfed on and its heel stacked."""
    head = head_outline(preset)
    long = max(distance for distance, _ in preset.head.crest)
    wide = max(2 * max(x for x, _ in head), preset.fretboard.width_mm(-preset.nut_y))
    turn, shaft = math.radians(HEAD_BACK_DEG), -preset.nut_y + NUT_MM + TENON_MM
    straight = shaft + long * math.cos(turn)
    drop = long * math.sin(turn) + NECK_THICK_MM * math.cos(turn)
    deep = preset.side_neck_mm + CAP_MM[2]
    scarf = NECK_THICK_MM / math.tan(turn)

    def heel(way: str, thick: float) -> Needed:
        blocks = max(1, math.ceil((deep - thick) / thick))
        size = (*HEEL_BLOCK_MM, thick)
        return Needed(f"Heel blocks, {way}", "neck", blocks, size, _spared(size), way)

    def stock(way: str, size: Size) -> Needed:
        return Needed(
            f"Neck {way}" if way.startswith("of") else f"Neck, {way}",
            "neck",
            1,
            size,
            _spared(size),
            way,
        )

    stacked, scarfed = "stacked heel", "scarfed head"
    return [
        stock("of one piece", (straight, wide, max(drop, deep))),
        stock(stacked, (straight, wide, drop)),
        heel(stacked, drop),
        stock(scarfed, (shaft + scarf + long, wide, NECK_THICK_MM)),
        heel(scarfed, NECK_THICK_MM),
    ]


def _spared(size: Size) -> Size:
    length, width, thickness = size
    return length + 2 * SPARE_MM, width + SPARE_MM, thickness + PLANED_MM


def _linings(preset: Preset) -> list[Needed]:
    """Along both rims of every side."""
    runs = side_lengths_mm(preset)
    alike = not preset.cutaway_depth_mm
    rows = [(f"Linings, {said}", 2, long) for said, long in runs]
    if alike:
        rows = [("Linings", 4, runs[0][1])]
    return [
        Needed(name, "", pieces, (long, *LINING_MM[::-1]), (long + STRIP_SPARE_MM, LINING_MM[1] + 1,
               LINING_MM[0] + 0.5))
        for name, pieces, long in rows
    ]  # fmt: skip
