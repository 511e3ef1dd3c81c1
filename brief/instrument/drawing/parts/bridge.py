"""The bridge from the front with its saddle, and the tailpiece."""

from __future__ import annotations

import math
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number, polygon
from brief.instrument.drawing.parts.body import TAILPIECE_MM
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.outline.outlines import (
    SWELL_MM,
    bridge_front_y,
    bridge_outline,
    bridge_shape,
    bridge_turn,
    free_block_mm,
    saddle_y,
)
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.inks import BONE, HAIRLINE

# Above what lies below, for their shadows alone; common practice, no source.
BRIDGE_HIGH_MM, SADDLE_HIGH_MM, TAILPIECE_HIGH_MM, TIE_BLOCK_HIGH_MM = 8.0, 2.5, 4.0, 3.0
FREE_BLOCK_HIGH_MM = 3.5
# How far the block of a tied bridge reaches beyond the outer strings, and begins behind the saddle.
BLOCK_BEYOND_MM, BLOCK_BEHIND_MM = 11.0, 4.5
BEVEL_MM = 1.8
SCREW_MM = 2.6


def draw_bridge(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the bridge with its saddle."""
    bridge, y, front = preset.bridge, saddle_y(preset), bridge_front_y(preset)
    half = bridge.width_mm / 2
    box = (-half, front, bridge.width_mm, bridge.depth_mm)
    canvas.relief.cast(polygon(bridge_outline(preset)[:-1]), BRIDGE_HIGH_MM)
    group = canvas.part("bridge", preset.part("bridge").name)
    if turn := bridge_turn(preset):  # and its grain with it
        about = {"transform": f"rotate({math.degrees(turn):.3f} 0 {number(y)})"}
        group = ET.SubElement(group, "g", about)
    outline = {"d": polygon(bridge_shape(preset)[:-1])}
    paint = canvas.paint("bridge", box, grain="across")
    ET.SubElement(group, "path", outline | {"fill": paint} | canvas.edge("bridge"))
    if bridge.hold == "tailpiece":
        _draw_free_block(canvas, group, preset, paint)
    elif bridge.shape == "pyramid" and canvas.has("bridge"):
        _draw_facets(group, preset, half, front)
    elif canvas.has("bridge") and canvas.relief.on:
        _draw_slopes(group, preset, half, front)
    if bridge.hold == "tie":
        _draw_blocks(canvas, group, preset, paint)
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


def _draw_blocks(canvas: SvgCanvas, group: ET.Element, preset: Preset, paint: str) -> None:
    """The blocks of a tied bridge: under the saddle, and behind it one for the ties."""
    bridge = preset.bridge
    front, back = bridge_front_y(preset), bridge_front_y(preset) + bridge.depth_mm
    reach = bridge.spread_mm / 2 + BLOCK_BEYOND_MM
    behind = saddle_y(preset) + BLOCK_BEHIND_MM
    for ends in ((front, behind - 2.5), (behind, back - 0.4)):
        near, far = ([(-reach, at), (reach, at)] for at in ends)
        block = polygon([*near, *reversed(far)])
        canvas.relief.cast(block, TIE_BLOCK_HIGH_MM, on=group)
        ET.SubElement(group, "path", {"d": block, "fill": paint} | canvas.edge("bridge"))
    for (x, y), (x_2, y_2) in (near, far):
        inward = 0.9 if (x, y) == near[0] else -0.9
        edging = f"M{number(x)} {number(y + inward)}L{number(x_2)} {number(y_2 + inward)}"
        bone = {"d": edging, "stroke": BONE, "stroke-width": "1.8"}
        ET.SubElement(group, "path", bone)
        canvas.relief.wire(group, edging, 1.8)


def _draw_free_block(canvas: SvgCanvas, group: ET.Element, preset: Preset, paint: str) -> None:
    """The block of a bridge that stands free: above its feet, its long edges bevelled."""
    front, reach = bridge_front_y(preset), free_block_mm(preset)
    back = front + preset.bridge.depth_mm
    block = polygon(_strip(reach, front, back))
    canvas.relief.cast(block, FREE_BLOCK_HIGH_MM, on=group)
    ET.SubElement(group, "path", {"d": block, "fill": paint} | canvas.edge("bridge"))
    if not canvas.has("bridge"):
        return
    for colour, opacity, upper, lower in (
        ("#fff", "0.16", front, front + BEVEL_MM),
        ("#000", "0.28", back - BEVEL_MM, back),
    ):
        face = {"d": polygon(_strip(reach, upper, lower)), "fill": colour}
        ET.SubElement(group, "path", face | {"fill-opacity": opacity})


def draw_tailpiece(canvas: SvgCanvas, preset: Preset) -> None:
    """The tailpiece: a plate with a hook for each string, bent down over the tail and screwed."""
    tail, half = preset.body_mm, preset.bridge.spread_mm / 2 + 5
    top = tail - TAILPIECE_MM
    corner, waist = 4.0, half * 0.62
    side = (
        f"M0 {number(top)}H{number(half - corner)}q{number(corner)} 0 {number(corner)} "
        f"{number(corner)}V{number(top + 14)}C{number(half)} {number(top + 30)} {number(waist)} "
        f"{number(top + 26)} {number(waist)} {number(top + 46)}L{number(half * 0.5)} {number(tail)}"
    )
    other = (
        f"H{number(-half * 0.5)}L{number(-waist)} {number(top + 46)}C{number(-waist)} "
        f"{number(top + 26)} {number(-half)} {number(top + 30)} {number(-half)} {number(top + 14)}"
        f"V{number(top + corner)}q0 {number(-corner)} {number(corner)} {number(-corner)}Z"
    )
    shape = {"d": side + other}
    canvas.relief.cast(shape["d"], TAILPIECE_HIGH_MM)
    group = canvas.part("tailpiece", preset.part("tailpiece").name)
    paint = canvas.paint("tailpiece", (-half, top, 2 * half, TAILPIECE_MM))
    ET.SubElement(group, "path", shape | {"fill": paint} | canvas.edge("tailpiece"))
    canvas.shine(group, "path", shape, "tailpiece")
    canvas.relief.gleam(group, "path", shape)
    for x in string_places(preset, preset.bridge.spread_mm):
        slot = {"d": f"M{number(x)} {number(top + 3)}v5", "stroke": canvas.dark}
        ET.SubElement(group, "path", slot | {"stroke-width": "1.6", "stroke-linecap": "round"})
    bend = {"d": f"M{number(-half)} {number(top + 12)}H{number(half)}", "stroke-opacity": "0.5"}
    ET.SubElement(group, "path", HAIRLINE | bend)
    for x, y in ((-half * 0.26, tail - 16), (half * 0.26, tail - 16)):
        screw = {"cx": number(x), "cy": number(y), "r": number(SCREW_MM), "fill": paint}
        ET.SubElement(group, "circle", screw | HAIRLINE)
        canvas.relief.gleam(group, "circle", screw)
        cross = f"M{number(x - 1.5)} {number(y - 1)}l3 2"
        ET.SubElement(group, "path", {"d": cross} | HAIRLINE)


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
            shade = {"d": polygon(face), "fill": colour, "fill-opacity": opacity}
            ET.SubElement(group, "path", shade)


def _draw_slopes(group: ET.Element, preset: Preset, half: float, top: float) -> None:
    """A bridge that is not flat: its long edges are bevelled, its wings or feet slope down."""
    depth, bevel = preset.bridge.depth_mm, BEVEL_MM
    low = top + depth
    wing_long = half * 0.45
    faces: list[tuple[str, str, list[Point]]] = [
        ("#fff", "0.16", _strip(half, top, top + bevel)),
    ]
    if preset.bridge.shape == "bar":
        faces.append(("#000", "0.28", _strip(half, low - bevel, low)))
    if preset.bridge.hold != "tie":
        wing = low - (SWELL_MM if preset.bridge.shape == "belly" else 0.0)
        for step in range(4):  # the farther out, the lower
            inner = half - wing_long * (1 - step / 4)
            for side, dark in ((-1, "0.05"), (1, "0.08")):
                face = [(side * x, y) for x, y in _strip(half, top, wing, inner)]
                faces.append(("#000", dark, face))
    for colour, opacity, face in faces:
        shade = {"d": polygon(face), "fill": colour, "fill-opacity": opacity}
        ET.SubElement(group, "path", shade)


def _strip(half: float, upper: float, lower: float, left: float | None = None) -> list[Point]:
    """The corners of a strip that ends at `half`, from `left` or from as far on the other side."""
    start = -half if left is None else left
    return [(start, upper), (half, upper), (half, lower), (start, lower)]
