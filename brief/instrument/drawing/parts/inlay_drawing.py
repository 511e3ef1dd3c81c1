"""Inlays on the picture of the front, and one design by itself with its narrow places ringed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.fill import Box
from brief.instrument.rendering.inks import HAIRLINE, INK
from brief.letters import clean

LiesOn = Literal["fretboard", "headplate", "rosette", "bridge", "top"]
ACCENT, STUFF = "#9c3d22", "#d9d3c6"
RULE_MM = 10.0
CLOSE_MM = 44.0  # a close view shows at least so much across
WORK_MM, BESIDE_MM = 120.0, 8.0  # of a part to work on, and round it


@dataclass(frozen=True)
class Inlaid:
    """An inlay as the picture of the front shows it.

    Attributes
    ----------
    role, name : str
        Of the part whose material it shows.
    path, box
        In the drawing's own places, mm, all copies together; the path is filled by the even-odd
        rule.
    ident : str
        By which a page finds it.
    """

    role: str
    name: str
    lies_on: LiesOn
    path: str
    box: Box
    ident: str = ""


class InlayPainter:
    """Draws the inlays of one part after the other; each material lies on the canvas once."""

    def __init__(self, canvas: SvgCanvas, inlays: Sequence[Inlaid]) -> None:
        self._canvas = canvas
        self._inlays = inlays
        self._paints: dict[str, str] = {}

    def draw(self, lies_on: LiesOn) -> bool:
        """Draw what lies on that part; whether there is any."""
        those = [one for one in self._inlays if one.lies_on == lies_on]
        for one in those:
            group = self._canvas.part(one.role, one.name)
            shape = {"d": one.path, "fill-rule": "evenodd", "fill": self._paint(one.role)}
            found = {"data-inlay": one.ident} if one.ident else {}
            ET.SubElement(group, "path", shape | self._canvas.edge(one.role) | found)
            even = {"d": one.path, "fill-rule": "evenodd"}
            self._canvas.shine(group, "path", even, one.role)
        return bool(those)

    def _paint(self, role: str) -> str:
        if role not in self._paints:
            box = around([one.box for one in self._inlays if one.role == role])
            self._paints[role] = self._canvas.paint(role, box)
        return self._paints[role]


def around(boxes: Sequence[Box]) -> Box:
    """The least box that holds them all."""
    left, top = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right = max(box[0] + box[2] for box in boxes)
    bottom = max(box[1] + box[3] for box in boxes)
    return left, top, right - left, bottom - top


def close_box(box: Box) -> Box:
    """What a close view of a place shows: three wide, two high, and room round it."""
    x, y, width, height = box
    across = max(CLOSE_MM, 1.7 * width, 1.7 * 1.5 * height)
    return x + width / 2 - across / 2, y + height / 2 - across / 3, across, across * 2 / 3


def working_box(copy: Box, part: Box) -> Box:
    """What is shown of a part to move a copy about on: all of it, or as much as is near."""
    sides = []
    for start, size, part_start, part_size in zip(
        copy[:2], copy[2:], part[:2], part[2:], strict=True
    ):
        first, whole = part_start - BESIDE_MM, part_size + 2 * BESIDE_MM
        shown = min(whole, max(WORK_MM, 3 * size))
        near = start + size / 2 - shown / 2
        sides.append((min(max(near, first), first + whole - shown), shown))
    (x, width), (y, height) = sides
    return x, y, width, height


def draw_design(path: str, size_mm: Point, rings: Sequence[tuple[Point, float]], label: str) -> str:
    """A design by itself as inline SVG, with its millimetres beside it.

    Parameters
    ----------
    path : str
        Filled by the even-odd rule, its middle at the origin; mm.
    size_mm : (float, float)
        Width and height.
    rings : sequence of ((float, float), float)
        Places to draw a ring round, and how wide each place is, mm.
    label : str
        The picture in words, for those who do not see it.
    """
    width, height = size_mm
    across = 1.16 * max(width, height, 1.2 * RULE_MM)
    letter = 0.06 * max(across, 1.4 * height)
    foot = 3.2 * letter
    view = (-across / 2, -0.54 * height - letter, across, 1.08 * height + 2 * letter + foot)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": " ".join(f"{side:.2f}" for side in view),
            "role": "img",
            "aria-label": clean(label),
        },
    )
    ET.SubElement(root, "path", {"d": path, "fill-rule": "evenodd", "fill": STUFF} | HAIRLINE)
    for (x, y), wide in rings:
        ring = {"cx": f"{x:.2f}", "cy": f"{y:.2f}", "r": f"{max(0.9 * wide, letter):.2f}"}
        line = {"stroke": ACCENT, "stroke-width": "2", "vector-effect": "non-scaling-stroke"}
        ET.SubElement(root, "circle", ring | line | {"fill": "none"})
    base, tick = 0.54 * height + 2 * letter, 0.35 * letter
    rule = (
        f"M{-RULE_MM / 2} {base - tick:.2f}v{2 * tick:.2f}m0 {-tick:.2f}h{RULE_MM}"
        f"m0 {-tick:.2f}v{2 * tick:.2f}"
    )
    ET.SubElement(root, "path", {"d": rule, "fill": "none"} | HAIRLINE)
    words = {
        "y": f"{base + 1.5 * letter:.2f}",
        "font-size": f"{letter:.2f}",
        "text-anchor": "middle",
        "fill": INK,
    }
    ET.SubElement(root, "text", words).text = f"{RULE_MM:g} mm"
    return ET.tostring(root, encoding="unicode")
