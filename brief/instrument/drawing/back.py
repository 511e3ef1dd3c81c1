"""The back of an instrument: the back plate, its edge, the neck with its heel, the head."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number, polygon
from brief.instrument.drawing.parts.body import BODY_HIGH_MM, draw_edge
from brief.instrument.drawing.parts.neck import (
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
from brief.instrument.rendering.canvas import SvgCanvas, in_words
from brief.instrument.rendering.fill import Box, Fill
from brief.instrument.rendering.inks import HAIRLINE, METAL

ROLES = ("back", "purfling", "binding", "neck", "tuners")
# The heel as it stands on the back: common practice, no source.
HEEL_LONG_MM, HEEL_CAP_MM, HEEL_HALF_MM = 62.0, 24.0, 14.0
ON_BACK_MM = 2.0  # how far its cap covers the edge of the back
BESIDE_MM = 1.0  # a line that is covered
UNDER_MM = 25.0  # how far the neck is drawn under a back that curves away from it
FLAT_MM, FLAT_LAYERS = 26.0, 6  # from the nut, over which it becomes round; as it looks right
NECK_HIGH_MM, CAP_HIGH_MM = 4.0, 2.5  # for their shadows alone


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
    draw_buttons(canvas, preset)
    paint = _draw_neck(canvas, preset)
    _draw_plate(canvas, preset)
    _draw_heel(canvas, preset, paint)


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
    draw_edge(canvas, preset, outline)


def _draw_neck(canvas: SvgCanvas, preset: Preset) -> str:
    """Neck and head, which are of one wood behind; the paint of it, which the heel has, too."""
    base, top = preset.nut_y - NUT_MM, head_top(preset)
    half = _half_of_neck(preset)
    group = canvas.part("neck", preset.part("neck").name)
    widest = max(half, *(one for _, one in preset.head.outline))
    paint = canvas.paint("neck", (-widest, top, 2 * widest, UNDER_MM - top))
    edge = canvas.edge("neck")
    (bass, low), (treble, high) = fret_drawn(preset, 0)
    corners = [(-treble, high - NUT_MM), (-bass, low - NUT_MM)]
    flanks = [
        [corner, (side * half, 0.0), (side * half, UNDER_MM)]
        for corner, side in zip(corners, (-1, 1), strict=True)
    ]
    left, right = flanks
    shaft = polygon([left[0], *right, *left[:0:-1]])
    canvas.relief.cast(shaft, NECK_HIGH_MM, on=group)
    ET.SubElement(group, "path", {"d": head_path(preset, behind=True), "fill": paint} | edge)
    draw_slots(canvas, preset, group)
    ET.SubElement(group, "path", {"d": shaft, "fill": paint})
    # Over the line of the head at the nut: they are one piece.
    above, below = ([(x, y + off) for x, y in corners] for off in (-BESIDE_MM, BESIDE_MM))
    ET.SubElement(group, "path", {"d": polygon([*above, *reversed(below)]), "fill": paint})
    for flank in flanks:
        line = polygon(flank).removesuffix("Z")
        ET.SubElement(group, "path", {"d": line, "fill": "none"} | edge)
    if canvas.has("neck"):
        _draw_round(canvas, group, flanks)
    if preset.head.slotted:
        draw_posts(canvas, preset)
    else:
        _draw_housings(canvas, preset, base)
    return paint


def _half_of_neck(preset: Preset) -> float:
    """Half its width where it meets the body."""
    return preset.fretboard.width_mm(-preset.nut_y) / 2


def _draw_heel(canvas: SvgCanvas, preset: Preset, paint: str) -> None:
    """The heel: it rises out of the neck and narrows to its cap, which is level with the back."""
    half = _half_of_neck(preset)
    group = canvas.part("neck", preset.part("neck").name)
    if canvas.has("neck"):
        rise = polygon([(-half, -HEEL_LONG_MM), (half, -HEEL_LONG_MM), (half, 0.0), (-half, 0.0)])
        ET.SubElement(group, "path", {"d": rise, "fill": _rising(canvas)})
        for side in (1, -1):
            shade = _hollow(canvas, side, 0.5 if side > 0 else 0.3)
            ET.SubElement(group, "path", {"d": _flank(half, side), "fill": shade})
    narrow, long = HEEL_HALF_MM, HEEL_CAP_MM
    cap = (
        f"M{number(-narrow)} {number(ON_BACK_MM)}C{number(-narrow)} {number(-long * 0.5)} "
        f"{number(-narrow * 0.75)} {number(-long)} 0 {number(-long)}"
        f"C{number(narrow * 0.75)} {number(-long)} {number(narrow)} {number(-long * 0.5)} "
        f"{number(narrow)} {number(ON_BACK_MM)}Z"
    )
    canvas.relief.cast(cap, CAP_HIGH_MM)
    group = canvas.part("neck", preset.part("neck").name)
    ET.SubElement(group, "path", {"d": cap, "fill": paint} | canvas.edge("neck"))


def _flank(half: float, side: int) -> str:
    """What of a heel's side is turned away: from the neck's edge in to the cap, hollow."""
    x, narrow, top = side * half, side * HEEL_HALF_MM, -HEEL_LONG_MM * 0.8
    return (
        f"M{number(x)} {number(top)}C{number(x * 0.98)} {number(top * 0.55)} "
        f"{number(narrow * 1.1)} {number(-HEEL_CAP_MM * 1.3)} {number(narrow)} 0H{number(x)}Z"
    )


def _hollow(canvas: SvgCanvas, side: int, dark: float) -> str:
    """The shade on a flank of the heel, deeper the nearer it is to the body."""
    stops = ((0.0, "#180d05", 0.0), (0.55, "#180d05", dark * 0.7), (1.0, "#180d05", dark))
    return canvas.gradient("hollow-right" if side > 0 else "hollow-left", (0, 0, 0, 1), stops)


def _rising(canvas: SvgCanvas) -> str:
    """Light on what rises towards the eye: it is turned to the light, then level."""
    stops = ((0.0, "#fff", 0.0), (0.45, "#fff", 0.1), (0.8, "#fff", 0.04), (1.0, "#000", 0.12))
    return canvas.gradient("rising", (0, 0, 0, 1), stops)


def _draw_round(canvas: SvgCanvas, group: ET.Element, flanks: Sequence[Sequence[Point]]) -> None:
    """Light on a neck that is half round behind, and flat by and by at the nut."""
    whole = ((0.0, "#000", 0.34), (0.3, "#fff", 0.1), (0.6, "#000", 0.02), (1.0, "#000", 0.38))
    stops = [(at, colour, 1 - (1 - dark) ** (1 / FLAT_LAYERS)) for at, colour, dark in whole]
    light = canvas.gradient("round", (0, 0, 1, 0), stops)
    for layer in range(FLAT_LAYERS):
        left, right = (
            [_along(start, joint, FLAT_MM * layer / FLAT_LAYERS), joint, low]
            for start, joint, low in flanks
        )
        shape = {"d": polygon([*left, *reversed(right)]), "fill": light}
        ET.SubElement(group, "path", shape)


def _along(start: Point, end: Point, far: float) -> Point:
    """A place so far on the way from a point to another."""
    share = far / math.dist(start, end)
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


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
