"""The sizes of each part as they are drawn, for whoever cuts it.

Thicknesses are not drawn, but for those of nut and saddle: the maker's own notes say them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brief.instrument.drawing.parts.body import TAILPIECE_MM
from brief.instrument.model.contacts import SADDLE_MM, board_length_mm
from brief.instrument.outline.outlines import NUT_MM, SADDLE_BEYOND_MM, side_lengths_mm
from brief.instrument.presets import Preset


@dataclass(frozen=True)
class Size:
    """One size: `words` say of what, with "{}" where the length is, as "{} wide at the nut"."""

    words: str
    mm: float


def part_sizes(preset: Preset) -> dict[str, tuple[Size, ...]]:
    """The drawn sizes by role, in millimetres; a role without any is left out."""
    board, bridge = preset.fretboard, preset.bridge
    plate = Size("{} long", preset.body_mm), Size("{} wide", preset.width_mm)
    rings, head = preset.hole.rosette_mm, preset.head
    known = {
        "top": plate,
        "back": plate,
        "sides": tuple(_sides(preset)),
        "neck": (
            Size("{} from the nut to the body", -preset.nut_y),
            Size("{} wide at the nut", preset.nut_mm),
            Size("{} at the body", board.width_mm(-preset.nut_y)),
        ),
        "headplate": (
            Size("{} long", max(distance for distance, _ in head.crest)),
            Size("{} wide", 2 * max(half for _, half in head.outline)),
        ),
        "fretboard": (
            Size("{} long", board_length_mm(preset)),
            Size("{} wide at the nut", preset.nut_mm),
            Size("{} at the end", board.width_mm(board_length_mm(preset))),
            *_radii(preset),
        ),
        "bridge": (Size("{} wide", bridge.width_mm), Size("{} deep", bridge.depth_mm)),
        "binding": (Size("{} wide", preset.binding_mm),),
        "purfling": (Size("{} wide", preset.purfling_mm),),
        "rosette": (
            Size("{} wide", max(outer for _, outer in rings) - min(inner for inner, _ in rings)),
            Size("round a soundhole of {}", preset.hole.diameter_mm),
        ),
        "nut": (Size("{} long", preset.nut_mm), Size("{} thick", NUT_MM)),
        "saddle": (
            Size("{} long", bridge.spread_mm + 2 * SADDLE_BEYOND_MM),
            Size("{} thick", SADDLE_MM),
        ),
        "tailpiece": (Size("{} long", TAILPIECE_MM),),
    }
    return {part.role: known[part.role] for part in preset.parts if part.role in known}


def _sides(preset: Preset) -> Iterator[Size]:
    runs = side_lengths_mm(preset)
    if preset.cutaway_depth_mm:
        yield from (Size(f"{said} {{}} long", length) for said, length in runs)
    else:
        yield Size("each {} long", runs[0][1])
    yield Size("{} deep at the neck", preset.side_neck_mm)
    yield Size("{} at the tail", preset.side_tail_mm)


def _radii(preset: Preset) -> Iterator[Size]:
    """Of the top of the fretboard, where it is not flat."""
    if preset.radius_mm == preset.radius_end_mm:
        sizes = [Size("radius {}", preset.radius_mm)]
    else:
        sizes = [
            Size("radius {} at the nut", preset.radius_mm),
            Size("radius {} at the end", preset.radius_end_mm),
        ]
    yield from (size for size in sizes if size.mm)
