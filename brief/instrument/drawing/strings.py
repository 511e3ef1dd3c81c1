"""The strings, from the tuners over nut and saddle to where they are held."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number
from brief.instrument.drawing.body import TAILPIECE_MM
from brief.instrument.drawing.neck import post_places
from brief.instrument.frets.fret_lines import lean
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.outline.outlines import NUT_MM, saddle_y
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import HAIRLINE, SvgCanvas

# Greys, so that no string passes for a colour that the maker chose.
PLAIN, WOUND = "#d8d5cd", "#a5a199"
# For light and shadow alone: above board and top, and of a slot beside its string; common practice,
# no source.
STRINGS_HIGH_MM, SLOT_ROOM_MM = 5.0, 0.25


@dataclass(frozen=True)
class _String:
    """line : path data. nut : of what of it lies in the nut. x, y : where it crosses the saddle."""

    line: str
    nut: str
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
        if preset.bridge.hold == "pins":
            pin = {"cx": number(one.x), "cy": number(_end_y(preset, one.y)), "r": "2.7"}
            ET.SubElement(group, "circle", pin | {"fill": canvas.dark} | HAIRLINE)
            canvas.relief.gleam(group, "circle", pin)
            ET.SubElement(group, "circle", pin | {"fill": PLAIN, "r": "0.8"})


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
        run = [post, *over_nut, (x, y), (x, _end_y(preset, y))]
        wound = number_from_bass < preset.wound
        yield _String(_line(run), _line(over_nut), gauge, wound, x, y)


def _line(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _end_y(preset: Preset, saddle: float) -> float:
    if preset.bridge.hold == "tailpiece":
        return preset.body_mm - TAILPIECE_MM + 6
    return saddle + (9 if preset.bridge.hold == "pins" else preset.bridge.depth_mm * 0.5)
