"""The strings, from the tuners over nut and saddle to where they are held."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree import ElementTree as ET

from brief.instrument.body import SLANT_MM, TAILPIECE_MM, saddle_y
from brief.instrument.curve import Point, number
from brief.instrument.neck import NUT_MM, post_places
from brief.instrument.presets import Preset
from brief.instrument.sheet import HAIRLINE, Sheet

# Greys, so that no string passes for a colour that the maker chose.
PLAIN, WOUND = "#d8d5cd", "#a5a199"
PAIR_MM = 2.2
"""Between the two strings of a course."""


def draw_strings(sheet: Sheet, preset: Preset) -> None:
    """All strings, and the pins or ties that hold them."""
    nut_y, base = preset.nut_y, preset.nut_y - NUT_MM
    group = ET.SubElement(sheet.root, "g", {"fill": "none", "pointer-events": "none"})
    runs = zip(
        preset.gauges_mm,
        post_places(preset),
        _places(preset, preset.nut_spread_mm),
        _places(preset, preset.bridge.spread_mm),
        strict=True,
    )
    for number_from_bass, (gauge, (post_x, post_y), nut_x, x) in enumerate(runs):
        y = saddle_y(preset) + _slant(preset, x)
        points: list[Point] = [(post_x, post_y), (nut_x, base), (nut_x, nut_y), (x, y)]
        points.append((x, _end_y(preset, y)))
        line = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in points)
        colour = WOUND if number_from_bass < preset.wound else PLAIN
        ET.SubElement(group, "path", {"d": line, "stroke": colour, "stroke-width": f"{gauge:.2f}"})
        if preset.bridge.hold == "pins":
            pin = {"cx": number(x), "cy": number(_end_y(preset, y)), "r": "2.7", "fill": sheet.dark}
            ET.SubElement(group, "circle", pin | HAIRLINE)
            ET.SubElement(group, "circle", pin | {"r": "0.8", "fill": PLAIN})


def _places(preset: Preset, spread: float) -> Iterator[float]:
    """Where the strings cross a line `spread` wide, bass to treble; courses evenly apart."""
    each = preset.strings // preset.courses
    for course in range(preset.courses):
        middle = spread * (course / (preset.courses - 1) - 0.5)
        for string in range(each):
            yield middle + PAIR_MM * (string - (each - 1) / 2)


def _slant(preset: Preset, x: float) -> float:
    if preset.bridge.hold != "pins":
        return 0.0
    return SLANT_MM * (0.5 - x / (preset.bridge.spread_mm + 12))


def _end_y(preset: Preset, saddle: float) -> float:
    if preset.bridge.hold == "tailpiece":
        return preset.body_mm - TAILPIECE_MM + 6
    return saddle + (9 if preset.bridge.hold == "pins" else preset.bridge.depth_mm * 0.5)
