"""The body from the front: top, edge, rosette and sound hole."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from brief.instrument.curve import number, path_data
from brief.instrument.outline.outlines import body_segments
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.inks import HAIRLINE

TAILPIECE_MM = 92.0  # common practice, no source
BODY_HIGH_MM = 8.0  # above what lies below, for its shadow alone; common practice, no source
TOP_THICK_MM = 2.6  # as it is seen at the soundhole; common practice, no source


def body_path(preset: Preset) -> str:
    """The outline of the body, closed, as path data; neck joint at the origin, y down."""
    return path_data(body_segments(preset)) + "Z"


def draw_top(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the top."""
    outline, half = body_path(preset), preset.width_mm / 2
    box = (-half, 0.0, 2 * half, preset.body_mm)
    canvas.relief.cast(outline, BODY_HIGH_MM)
    top = canvas.part("top", preset.part("top").name)
    paint = canvas.paint("top", box, matched=True)
    ET.SubElement(top, "path", {"d": outline, "fill": paint})
    if canvas.jointed("top"):
        joint = {"d": f"M0 0V{number(preset.body_mm)}", "stroke-opacity": "0.35"}
        ET.SubElement(top, "path", canvas.edge("top") | joint)
    draw_edge(canvas, preset, outline)


def draw_edge(canvas: SvgCanvas, preset: Preset, outline: str) -> None:
    """Draw purfling and binding along the edge of a plate, whose outline is path data."""
    half = preset.width_mm / 2
    box = (-half, 0.0, 2 * half, preset.body_mm)
    # A line of twice the width, kept inside the outline, is a band along its edge.
    # One clip for all: a renderer makes a sheet of the picture's size for each.
    inside = ET.SubElement(canvas.root, "g", canvas.clip("body", outline))
    band = {"d": outline, "fill": "none"}
    edge = preset.binding_mm
    for role, depth in (("purfling", edge + preset.purfling_mm), ("binding", edge)):
        group = canvas.part(role, preset.part(role).name, within=inside)
        ET.SubElement(group, "path", band | _line(canvas, role, 2 * depth + 0.5))
        wide = {"stroke": canvas.paint(role, box, bent=True), "stroke-width": number(2 * depth)}
        ET.SubElement(group, "path", band | wide)
        canvas.shine(group, "path", {"d": outline, "stroke-width": number(2 * depth)}, role)
    canvas.relief.roll(inside, outline)
    ET.SubElement(canvas.root, "path", {"d": outline, "fill": "none"} | canvas.edge("binding"))


def draw_rosette(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the rosette, ring by ring."""
    centre, reach = preset.hole.centre_mm, max(outer for _, outer in preset.hole.rosette_mm)
    group = canvas.part("rosette", preset.part("rosette").name)
    paint = canvas.paint("rosette", (-reach, centre - reach, 2 * reach, 2 * reach))
    for inner, outer in preset.hole.rosette_mm:
        circle = {"cy": number(centre), "r": f"{(inner + outer) / 2:.2f}", "fill": "none"}
        width = outer - inner
        ET.SubElement(group, "circle", circle | _line(canvas, "rosette", width + 0.4))
        band = circle | {"stroke-width": f"{width:.1f}"}
        ET.SubElement(group, "circle", band | {"stroke": paint})
        canvas.shine(group, "circle", band, "rosette")


def draw_hole(canvas: SvgCanvas, preset: Preset) -> None:
    """The sound hole, which also cuts the end of a fretboard that reaches it."""
    hole = preset.hole
    circle = {"cy": number(hole.centre_mm), "r": number(hole.diameter_mm / 2)}
    ET.SubElement(canvas.root, "circle", circle | {"fill": canvas.dark} | HAIRLINE)
    canvas.relief.depth(hole.centre_mm, hole.diameter_mm / 2, TOP_THICK_MM)


def _line(canvas: SvgCanvas, role: str, width: float) -> dict[str, str]:
    """An edge in ink that lies under a band, so `width` is the band's and a little more."""
    line = canvas.edge(role) | {"stroke-width": number(width)}
    del line["vector-effect"]
    return line
