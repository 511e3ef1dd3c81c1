"""The back of an instrument: the back plate, its edge, the neck with its heel, the head."""

from __future__ import annotations

from collections.abc import Mapping
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number, polygon
from brief.instrument.drawing.body import BODY_HIGH_MM, draw_edge
from brief.instrument.drawing.neck import (
    draw_buttons,
    draw_posts,
    draw_slots,
    half_width,
    head_path,
    head_top,
)
from brief.instrument.frets.fret_lines import fret_drawn
from brief.instrument.outline.outlines import NUT_MM, body_outline
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import HAIRLINE, METAL, Box, Fill, SvgCanvas, in_words

ROLES = ("back", "binding", "neck", "tuners")
# The heel as it stands on the back: common practice, no source.
HEEL_LONG_MM, HEEL_CAP_MM, HEEL_HALF_MM = 62.0, 22.0, 15.0
HEEL_HIGH_MM = 6.0  # for its shadow alone


def draw_back(
    preset: Preset,
    fills: Mapping[str, Fill],
    *,
    title: str,
    prefix: str,
    box: Box,
    px_per_mm: float | None,
    shaded: bool = False,
) -> str:
    """The back as inline SVG, seen from behind: the bass side is at the right.

    Parameters
    ----------
    preset, fills, title, prefix, px_per_mm, shaded : as `draw_front` has them
    box : (x, y, width, height)
        The part that is shown, mm.
    """
    canvas = SvgCanvas(fills, prefix=prefix, box=box, px_per_mm=px_per_mm, shaded=shaded)
    paint_back(canvas, preset)
    names = {role: preset.part(role).name.lower() for role in ROLES}
    return canvas.text(in_words(title, names, fills))


def paint_back(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw all of the back."""
    _draw_plate(canvas, preset)
    draw_buttons(canvas, preset)
    _draw_neck(canvas, preset)


def seen_from_behind(preset: Preset) -> str:
    """The outline of the body from behind, closed, as path data."""
    # Every second chord will do: they miss the curve by under 0.1 mm.
    points: list[Point] = [(-x, y) for x, y in body_outline(preset)[:-1:2]]
    return polygon(points)


def _draw_plate(canvas: SvgCanvas, preset: Preset) -> None:
    outline, half = seen_from_behind(preset), preset.width_mm / 2
    box = (-half, 0.0, 2 * half, preset.body_mm)
    canvas.relief.cast(outline, BODY_HIGH_MM)
    group = canvas.part("back", preset.part("back").name)
    ET.SubElement(group, "path", {"d": outline, "fill": canvas.paint("back", box, matched=True)})
    if canvas.jointed("back"):
        joint = {"d": f"M0 0V{number(preset.body_mm)}", "stroke-opacity": "0.35"}
        ET.SubElement(group, "path", canvas.edge("back") | joint)
    draw_edge(canvas, preset, outline, [("binding", preset.binding_mm)])


def _draw_neck(canvas: SvgCanvas, preset: Preset) -> None:
    """Neck, heel and head, which are of one wood behind; the heel's cap is level with the back."""
    base, far = preset.nut_y - NUT_MM, preset.fretboard.width_mm(-preset.nut_y) / 2
    top = head_top(preset)
    group = canvas.part("neck", preset.part("neck").name)
    widest = max(far, *(half for _, half in preset.head.outline))
    paint = canvas.paint("neck", (-widest, top, 2 * widest, -top))
    edge = canvas.edge("neck")
    ET.SubElement(group, "path", {"d": head_path(preset, behind=True), "fill": paint} | edge)
    draw_slots(canvas, preset, group)
    (bass, low), (treble, high) = fret_drawn(preset, 0)
    corners = [(-treble, high - NUT_MM), (-bass, low - NUT_MM)]
    shaft = polygon([*corners, (far, 0.0), (-far, 0.0)])
    ET.SubElement(group, "path", {"d": shaft, "fill": paint} | edge)
    heel = _heel(far)
    canvas.relief.cast(heel, HEEL_HIGH_MM)
    if canvas.has("neck"):
        round_ = {"fill": _roundness(canvas)}
        ET.SubElement(group, "path", {"d": shaft} | round_)
        ET.SubElement(group, "path", {"d": heel, "fill": paint})
        ET.SubElement(group, "path", {"d": heel, "fill-opacity": "0.5"} | round_)
    ET.SubElement(group, "path", {"d": heel, "fill": "none", "stroke-opacity": "0.6"} | edge)
    cap = {"d": f"M{number(-HEEL_HALF_MM)} {number(-HEEL_CAP_MM)}h{number(2 * HEEL_HALF_MM)}"}
    ET.SubElement(group, "path", cap | {"fill": "none", "stroke-opacity": "0.5"} | edge)
    if preset.head.slotted:
        draw_posts(canvas, preset)
    else:
        _draw_housings(canvas, preset, base)


def _heel(half: float) -> str:
    """The heel: as wide as the neck where it leaves it, narrowing to its cap."""
    start, cap, narrow = -HEEL_LONG_MM, -HEEL_CAP_MM, HEEL_HALF_MM
    right = (
        f"M{number(half)} {number(start)}"
        f"C{number(half)} {number(start * 0.7)} {number(narrow)} {number(cap * 1.8)} "
        f"{number(narrow)} {number(cap)}V0"
    )
    left = (
        f"H{number(-narrow)}V{number(cap)}"
        f"C{number(-narrow)} {number(cap * 1.8)} {number(-half)} {number(start * 0.7)} "
        f"{number(-half)} {number(start)}"
    )
    return f"{right}{left}Q0 {number(start * 1.35)} {number(half)} {number(start)}Z"


def _roundness(canvas: SvgCanvas) -> str:
    """Light on a neck that is half round behind."""
    stops = ((0.0, "#000", 0.34), (0.3, "#fff", 0.1), (0.6, "#000", 0.02), (1.0, "#000", 0.38))
    return canvas.gradient("round", (0, 0, 1, 0), stops)


def _draw_housings(canvas: SvgCanvas, preset: Preset, base: float) -> None:
    """The gears of tuners that stand in a solid head."""
    for distance in preset.head.posts_mm:
        x = half_width(preset, distance) - 11
        for side in (1, -1):
            housing = {
                "x": number(side * x - 8),
                "y": number(base - distance - 9),
                "width": "16",
                "height": "18",
                "rx": "3",
                "fill": METAL,
            }
            ET.SubElement(canvas.root, "rect", housing | HAIRLINE)
            canvas.relief.gleam(canvas.root, "rect", housing)
