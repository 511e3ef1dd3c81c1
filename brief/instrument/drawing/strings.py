"""The strings, from the tuners over nut and saddle to where they are held."""

from __future__ import annotations

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


def draw_strings(canvas: SvgCanvas, preset: Preset) -> None:
    """All strings, and the pins or ties that hold them."""
    nut_y, base = preset.nut_y, preset.nut_y - NUT_MM
    group = ET.SubElement(canvas.root, "g", {"fill": "none", "pointer-events": "none"})
    runs = zip(
        preset.gauges_mm,
        post_places(preset),
        string_places(preset, preset.nut_spread_mm),
        string_places(preset, preset.bridge.spread_mm),
        strict=True,
    )
    for number_from_bass, (gauge, (post_x, post_y), nut_x, x) in enumerate(runs):
        y = saddle_y(preset, x)
        off = lean(preset, 0) * nut_x
        points: list[Point] = [(post_x, post_y), (nut_x, base + off), (nut_x, nut_y + off), (x, y)]
        points.append((x, _end_y(preset, y)))
        line = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in points)
        colour = WOUND if number_from_bass < preset.wound else PLAIN
        ET.SubElement(group, "path", {"d": line, "stroke": colour, "stroke-width": f"{gauge:.2f}"})
        if preset.bridge.hold == "pins":
            pin = {
                "cx": number(x),
                "cy": number(_end_y(preset, y)),
                "r": "2.7",
                "fill": canvas.dark,
            }
            ET.SubElement(group, "circle", pin | HAIRLINE)
            ET.SubElement(group, "circle", pin | {"r": "0.8", "fill": PLAIN})


def _end_y(preset: Preset, saddle: float) -> float:
    if preset.bridge.hold == "tailpiece":
        return preset.body_mm - TAILPIECE_MM + 6
    return saddle + (9 if preset.bridge.hold == "pins" else preset.bridge.depth_mm * 0.5)
