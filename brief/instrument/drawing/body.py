"""The body from the front: top, edge, rosette, sound hole and bridge."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from brief.instrument.curve import mirrored, number, path_data, polygon
from brief.instrument.outline.outlines import (
    body_segments,
    bridge_front_y,
    bridge_outline,
    leant,
    saddle_y,
)
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import BONE, HAIRLINE, SvgCanvas

TAILPIECE_MM = 92.0  # common practice, no source
# Above what lies below, for their shadows alone; common practice, no source.
BODY_HIGH_MM, BRIDGE_HIGH_MM, SADDLE_HIGH_MM, TAILPIECE_HIGH_MM = 8.0, 8.0, 2.5, 4.0
TIE_BLOCK_HIGH_MM = 3.0
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
    bands = [("purfling", preset.binding_mm + preset.purfling_mm), ("binding", preset.binding_mm)]
    draw_edge(canvas, preset, outline, bands)


def draw_edge(
    canvas: SvgCanvas, preset: Preset, outline: str, bands: Sequence[tuple[str, float]]
) -> None:
    """Draw bands along the edge of a plate.

    Parameters
    ----------
    canvas : SvgCanvas
    preset : Preset
    outline : str
        Path data of the plate.
    bands : sequence of (str, float)
        The role of each and how far in it reaches, mm, the outermost last.
    """
    half = preset.width_mm / 2
    box = (-half, 0.0, 2 * half, preset.body_mm)
    # A line of twice the width, kept inside the outline, is a band along its edge.
    # One clip for all: a renderer makes a sheet of the picture's size for each.
    inside = ET.SubElement(canvas.root, "g", canvas.clip("body", outline))
    band = {"d": outline, "fill": "none"}
    for role, depth in bands:
        group = canvas.part(role, preset.part(role).name, within=inside)
        ET.SubElement(group, "path", band | _line(canvas, role, 2 * depth + 0.5))
        wide = {"stroke": canvas.paint(role, box, bent=True), "stroke-width": number(2 * depth)}
        ET.SubElement(group, "path", band | wide)
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
        ET.SubElement(group, "circle", circle | {"stroke": paint, "stroke-width": f"{width:.1f}"})


def draw_hole(canvas: SvgCanvas, preset: Preset) -> None:
    """The sound hole, which also cuts the end of a fretboard that reaches it."""
    hole = preset.hole
    circle = {"cy": number(hole.centre_mm), "r": number(hole.diameter_mm / 2)}
    ET.SubElement(canvas.root, "circle", circle | {"fill": canvas.dark} | HAIRLINE)
    canvas.relief.depth(hole.centre_mm, hole.diameter_mm / 2, TOP_THICK_MM)


def draw_bridge(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the bridge with its saddle."""
    bridge, y, front = preset.bridge, saddle_y(preset), bridge_front_y(preset)
    half = bridge.width_mm / 2
    box = (-half, front, bridge.width_mm, bridge.depth_mm)
    canvas.relief.cast(polygon(bridge_outline(preset)[:-1]), BRIDGE_HIGH_MM)
    group = canvas.part("bridge", preset.part("bridge").name)
    outline = {"d": polygon(bridge_outline(preset)[:-1])}
    paint = canvas.paint("bridge", box, grain="across")
    ET.SubElement(group, "path", outline | {"fill": paint} | canvas.edge("bridge"))
    if bridge.shape == "pyramid" and canvas.has("bridge"):
        _draw_facets(group, preset, half, front)
    if bridge.hold == "tie":
        _draw_tie_block(canvas, group, preset, paint)
    reach = bridge.spread_mm / 2 + 6
    bass, treble = saddle_y(preset, -reach), saddle_y(preset, reach)
    strip = [
        (-reach, bass - 1.3),
        (reach, treble - 1.3),
        (reach, treble + 1.3),
        (-reach, bass + 1.3),
    ]
    canvas.relief.cast(polygon(strip), SADDLE_HIGH_MM)
    saddle = canvas.part("saddle", preset.part("saddle").name)
    paint = canvas.paint("saddle", (-reach, y - 2, 2 * reach, 8), grain="across")
    ET.SubElement(saddle, "path", {"d": polygon(strip), "fill": paint} | canvas.edge("saddle"))


def _draw_tie_block(canvas: SvgCanvas, group: ET.Element, preset: Preset, paint: str) -> None:
    """The block behind the saddle that strings are tied round, edged with bone."""
    bridge = preset.bridge
    reach, back = bridge.spread_mm / 2 + 11, bridge_front_y(preset) + bridge.depth_mm
    near, far = (
        leant(preset, [(-reach, at), (reach, at)]) for at in (saddle_y(preset) + 4.5, back - 0.4)
    )
    block = polygon([*near, *reversed(far)])
    canvas.relief.cast(block, TIE_BLOCK_HIGH_MM, on=group)
    ET.SubElement(group, "path", {"d": block, "fill": paint} | canvas.edge("bridge"))
    for (x, y), (x_2, y_2) in (near, far):
        inward = 0.9 if (x, y) == near[0] else -0.9
        edging = f"M{number(x)} {number(y + inward)}L{number(x_2)} {number(y_2 + inward)}"
        bone = {"d": edging, "stroke": BONE, "stroke-width": "1.8"}
        ET.SubElement(group, "path", bone)
        canvas.relief.wire(group, edging, 1.8)


def draw_tailpiece(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the tailpiece."""
    tail = preset.body_mm
    half = preset.bridge.spread_mm / 2 + 5
    top = tail - TAILPIECE_MM
    side = [(half, top), (half, top + 12), (half * 0.62, top + 40), (half * 0.5, tail)]
    shape = polygon(mirrored([*side, (0.0, tail)]))
    canvas.relief.cast(shape, TAILPIECE_HIGH_MM)
    group = canvas.part("tailpiece", preset.part("tailpiece").name)
    paint = canvas.paint("tailpiece", (-half, top, 2 * half, TAILPIECE_MM))
    ET.SubElement(group, "path", {"d": shape, "fill": paint} | canvas.edge("tailpiece"))
    canvas.relief.gleam(group, "path", {"d": shape})


def _line(canvas: SvgCanvas, role: str, width: float) -> dict[str, str]:
    """An edge in ink that lies under a band, so `width` is the band's and a little more."""
    line = canvas.edge(role) | {"stroke-width": number(width)}
    del line["vector-effect"]
    return line


def _draw_facets(group: ET.Element, preset: Preset, half: float, top: float) -> None:
    """The ends of a bridge cut to low pyramids, as light and shade on their faces."""
    depth = preset.bridge.depth_mm
    low, middle, inner = top + depth, top + depth / 2, half - depth * 0.9
    for side in (1, -1):
        peak = (side * (half - depth * 0.45), middle)
        for colour, opacity, face in (
            ("#fff", "0.11", [(side * inner, top), (side * half, top), peak]),
            ("#000", "0.2", [(side * inner, low), (side * half, low), peak]),
            ("#fff", "0.05", [(side * half, top), (side * half, low), peak]),
        ):
            shade = {"d": polygon(leant(preset, face)), "fill": colour, "fill-opacity": opacity}
            ET.SubElement(group, "path", shade)
