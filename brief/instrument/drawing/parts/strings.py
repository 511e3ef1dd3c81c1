"""The strings, from the tuners over nut and saddle to where they are held."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number
from brief.instrument.drawing.parts.body import TAILPIECE_MM
from brief.instrument.drawing.parts.bridge import BLOCK_BEHIND_MM
from brief.instrument.drawing.parts.neck import post_places
from brief.instrument.frets.fret_lines import lean
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.outline.outlines import NUT_MM, behind_saddle_mm, saddle_y
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.inks import HAIRLINE

# Greys, so that no string passes for a colour that the maker chose.
PLAIN, WOUND = "#d8d5cd", "#a5a199"
# For light and shadow alone: above board and top, and of a slot beside its string; common practice,
# no source.
STRINGS_HIGH_MM, SLOT_ROOM_MM = 5.0, 0.25
# Of what is wound round a post or a roller: how far from its middle, how often, and how wide a turn
# of a thin string is drawn; common practice, no source.
WOUND_UP_MM, ROLLER_MM, TURNS, THINNEST_TURN_MM = 3.8, 3.0, 3, 0.5

# How high a string lies on a tie block, how far from its back edge it is tucked in, and how far to
# the side, of the way to the next; common practice, no source.
TIED_HIGH_MM, TUCKED_MM, TUCKED_SHARE = 0.8, 0.8, 0.35


@dataclass(frozen=True)
class _String:
    """line : path data. nut : of what lies in the nut. post : its middle. x, y : at the saddle."""

    line: str
    nut: str
    post: Point
    gauge: float
    wound: bool
    x: float
    y: float


def draw_strings(canvas: SvgCanvas, preset: Preset) -> None:
    """All strings, and the pins or ties that hold them."""
    strings = list(_strings(preset))
    for one in strings:
        canvas.relief.cut(one.nut, one.gauge + SLOT_ROOM_MM)
        canvas.relief.cast_line(one.line, one.gauge, STRINGS_HIGH_MM)
    group = ET.SubElement(canvas.root, "g", {"fill": "none", "pointer-events": "none"})
    for one in strings:
        colour = WOUND if one.wound else PLAIN
        thick = {"stroke": colour, "stroke-width": f"{one.gauge:.2f}"}
        ET.SubElement(group, "path", {"d": one.line} | thick)
        if one.wound:
            canvas.relief.winding(group, one.line, one.gauge)
        canvas.relief.wire(group, one.line, one.gauge)
        _draw_turns(canvas, group, preset, one, colour)
        if preset.bridge.hold == "pins":
            pin = {"cx": number(one.x), "cy": number(_end_y(preset, one.y)), "r": "2.7"}
            ET.SubElement(group, "circle", pin | {"fill": canvas.dark} | HAIRLINE)
            canvas.relief.gleam(group, "circle", pin)
            ET.SubElement(group, "circle", pin | {"fill": PLAIN, "r": "0.8"})
        elif preset.bridge.hold == "tie":
            _draw_tie(canvas, group, preset, one, colour)


def _strings(preset: Preset) -> Iterator[_String]:
    """Bass to treble."""
    nut_y, base = preset.nut_y, preset.nut_y - NUT_MM
    runs = zip(
        preset.gauges_mm,
        post_places(preset),
        string_places(preset, preset.nut_spread_mm),
        string_places(preset, preset.bridge.spread_mm),
        strict=True,
    )
    for number_from_bass, (gauge, post, nut_x, x) in enumerate(runs):
        y = saddle_y(preset, x)
        off = lean(preset, 0) * nut_x
        over_nut: list[Point] = [(nut_x, base + off), (nut_x, nut_y + off)]
        run = [_leaves(preset, post, over_nut[0]), *over_nut, (x, y), (x, _end_y(preset, y))]
        wound = number_from_bass < preset.wound
        yield _String(_line(run), _line(over_nut), post, gauge, wound, x, y)


def _leaves(preset: Preset, post: Point, nut: Point) -> Point:
    """Where a string leaves its post, on the side of the centre line; a roller from its middle."""
    if preset.head.slotted:
        return post
    far, radius = math.dist(post, nut), WOUND_UP_MM
    along = ((nut[0] - post[0]) / far, (nut[1] - post[1]) / far)
    near, side = radius / far, math.sqrt(1 - (radius / far) ** 2)
    ends = [
        (
            post[0] + radius * (near * along[0] - turn * side * along[1]),
            post[1] + radius * (near * along[1] + turn * side * along[0]),
        )
        for turn in (1, -1)
    ]
    return min(ends, key=lambda end: abs(end[0]))


def _draw_turns(
    canvas: SvgCanvas, group: ET.Element, preset: Preset, one: _String, colour: str
) -> None:
    """What of a string is wound round its post, or side by side round its roller."""
    (x, y), wide = one.post, max(one.gauge, THINNEST_TURN_MM)
    line = {"stroke": colour, "stroke-width": f"{wide:.2f}"}
    if not preset.head.slotted:
        for turn in range(TURNS):
            ring = {"cx": number(x), "cy": number(y), "r": f"{WOUND_UP_MM - turn * wide:.2f}"}
            ET.SubElement(group, "circle", ring | line)
            between = {"stroke": canvas.dark, "stroke-width": "0.15", "stroke-opacity": "0.7"}
            inner = {"r": f"{WOUND_UP_MM - (turn + 0.5) * wide:.2f}"}
            ET.SubElement(group, "circle", ring | between | inner)
        return
    outward = 1 if x > 0 else -1
    for turn in range(TURNS):
        at = x + outward * turn * wide * 1.15
        path = f"M{at:.2f} {number(y - ROLLER_MM)}V{number(y + ROLLER_MM)}"
        ET.SubElement(group, "path", {"d": path} | line)
        canvas.relief.wire(group, path, wide)


def _draw_tie(
    canvas: SvgCanvas, group: ET.Element, preset: Preset, one: _String, colour: str
) -> None:
    """A string that went through the tie block: back over it into its own loop, and tucked in."""
    front, back = (one.y + off for off in (BLOCK_BEHIND_MM, behind_saddle_mm(preset) - TUCKED_MM))
    pitch = preset.bridge.spread_mm / (preset.strings - 1)
    path = _line([(one.x, back), (one.x, front), (one.x + TUCKED_SHARE * pitch, back)])
    canvas.relief.cast_line(path, one.gauge, TIED_HIGH_MM)
    width = {"stroke": colour, "stroke-width": f"{one.gauge:.2f}", "stroke-linejoin": "round"}
    ET.SubElement(group, "path", {"d": path} | width)
    canvas.relief.wire(group, path, one.gauge)


def _line(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _end_y(preset: Preset, saddle: float) -> float:
    if preset.bridge.hold == "tailpiece":
        return preset.body_mm - TAILPIECE_MM + 6
    return saddle + (9 if preset.bridge.hold == "pins" else BLOCK_BEHIND_MM)
