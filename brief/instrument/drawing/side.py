"""The side of an instrument, seen from the treble side: the top at the left, the back at the right.

Depths come from the preset; the sizes that it leaves open are typical of what makers build:
common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point, number, polygon
from brief.instrument.drawing.parts.body import BODY_HIGH_MM, TAILPIECE_MM
from brief.instrument.drawing.parts.neck import FRET_WIRE_MM
from brief.instrument.drawing.parts.strings import WOUND
from brief.instrument.frets.fret_lines import fret_drawn
from brief.instrument.outline.outlines import NUT_MM, body_outline, bridge_outline, saddle_y
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas, in_words
from brief.instrument.rendering.fill import Box, Fill
from brief.instrument.rendering.inks import HAIRLINE, METAL

BINDING_MM = 6.0  # how far down the side a binding reaches
BOARD_MM = 6.0  # a fretboard, and how high it stands over the top
HEADPLATE_MM = 2.5
BRIDGE_MM, SADDLE_MM = 9.0, 3.0  # height over the top, and over the bridge
ACTION_MM = 2.5  # strings over the end of the board
HEAD_BACK_DEG = 14.0
NECK_SHARE = 0.33  # of the nut's width: a neck's thickness without its board
HEEL_LONG_MM = 85.0
RECESS_SHADE = 0.45  # in a cutaway, beside its horn
BEND_MM = 7.0  # along which the back of the neck bends into the head, either way
CROWN_MM = 1.0  # of a fret over the board
NECK_HIGH_MM = 4.0  # for its shadow alone
NECK_ROUND = 0.25  # of its thickness: how far in its back is seen to turn away
SHADE = 0.8  # of a side that is turned right away


def depth_at(preset: Preset, y: float) -> float:
    """How deep the body is at a distance from the neck joint, mm, binding to binding."""
    share = min(max(y / preset.body_mm, 0.0), 1.0)
    return preset.side_neck_mm + (preset.side_tail_mm - preset.side_neck_mm) * share


def draw_side(
    preset: Preset,
    fills: Mapping[str, Fill],
    *,
    title: str,
    prefix: str,
    box: Box,
    px_per_mm: float | None,
    shaded: bool = False,
) -> str:
    """The side as inline SVG. The arguments are those of `draw_front`."""
    canvas = SvgCanvas(fills, prefix=prefix, box=box, px_per_mm=px_per_mm, shaded=shaded)
    paint_side(canvas, preset)
    names = {role: preset.part(role).name.lower() for role in roles(preset)}
    return canvas.text(in_words(title, names, fills))


def paint_side(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw all of the side."""
    _draw_sides(canvas, preset)
    _draw_neck(canvas, preset)
    _draw_head(canvas, preset)
    _draw_bridge(canvas, preset)
    _draw_strings(canvas, preset)


def roles(preset: Preset) -> tuple[str, ...]:
    """The parts that can be seen from the side."""
    seen = ("sides", "binding", "neck", "fretboard", "nut", "headplate", "tuners")
    held = ("tailpiece",) if preset.bridge.hold == "tailpiece" else ()
    return (*seen, "bridge", "saddle", *held)


def _draw_sides(canvas: SvgCanvas, preset: Preset) -> None:
    tail, neck_deep = preset.body_mm, preset.side_neck_mm
    tail_deep = preset.side_tail_mm
    deepest = max(neck_deep, tail_deep)
    whole = polygon([(0, 0), (neck_deep, 0), (tail_deep, tail), (0, tail)])
    canvas.relief.cast(whole, BODY_HIGH_MM)
    group = canvas.part("sides", preset.part("sides").name)
    paint = canvas.paint("sides", (0.0, 0.0, deepest, tail))
    ET.SubElement(group, "path", {"d": whole, "fill": paint} | canvas.edge("sides"))
    if canvas.has("sides"):
        bend = canvas.gradient("bend", (0, 0, 0, 1), _bends(preset))
        ET.SubElement(group, "path", {"d": whole, "fill": bend})
    if preset.cutaway_depth_mm:
        _draw_recess(canvas, preset, group)
    binding = canvas.part("binding", preset.part("binding").name)
    paint = canvas.paint("binding", (0.0, 0.0, deepest, tail), bent=True)
    deep = BINDING_MM
    for strip in (
        [(0, 0), (deep, 0), (deep, tail), (0, tail)],
        [(neck_deep - deep, 0), (neck_deep, 0), (tail_deep, tail), (tail_deep - deep, tail)],
    ):
        band = {"d": polygon(strip), "fill": paint} | canvas.edge("binding")
        ET.SubElement(binding, "path", band)


def _draw_recess(canvas: SvgCanvas, preset: Preset, group: ET.Element) -> None:
    """The visible part of a cutaway from here.

    The horn ends it in a line across the side, and lets its shade fall on the part farther in.
    """
    horn = horn_top(preset)
    deep, far = preset.side_neck_mm, depth_at(preset, horn)
    if canvas.has("sides"):
        recess = polygon([(0, 0), (deep, 0), (far, horn), (0, horn)])
        stops = ((0.0, "#000", 0.0), (0.55, "#000", 0.06), (1.0, "#000", RECESS_SHADE))
        shade = canvas.gradient("recess", (0, 0, 0, 1), stops)
        ET.SubElement(group, "path", {"d": recess, "fill": shade})
    line = {"d": f"M0 {number(horn)}H{number(far)}", "fill": "none"}
    ET.SubElement(group, "path", canvas.edge("sides") | line)


def horn_top(preset: Preset) -> float:
    """How far from the neck joint the horn of a cutaway comes nearest to it, mm."""
    # From the joint down the wall into the scoop, up again to the horn's top, and to the tail.
    downs = [y for x, y in body_outline(preset) if x >= 0]
    scoop = next(i for i, (y, after) in enumerate(pairwise(downs)) if after < y)
    return next(y for y, after in pairwise(downs[scoop:]) if after > y)


def _bends(preset: Preset) -> list[tuple[float, str, float]]:
    """Shade along the side: the more, the further it is turned away from the eye."""
    steps = 24
    outline = pairwise(body_outline(preset))
    treble = [(a, b) for a, b in outline if a[0] + b[0] > 0]
    stops = []
    for step in range(steps + 1):
        y = preset.body_mm * (step + 0.5 * (step == 0) - 0.5 * (step == steps)) / steps
        facing = 0.0
        for (x1, y1), (x2, y2) in treble:
            if min(y1, y2) <= y <= max(y1, y2) and y1 != y2:
                facing = max(facing, abs(y2 - y1) / math.dist((x1, y1), (x2, y2)))
        stops.append((step / steps, "#000", SHADE * (1 - facing)))
    return stops


def neck_thick(preset: Preset) -> float:
    """Of the neck at the nut without its board, mm."""
    return NECK_SHARE * preset.nut_mm


def _draw_neck(canvas: SvgCanvas, preset: Preset) -> None:
    """The neck with its head and its heel, which ends level with the back; the board, the nut."""
    nut_y, base, deep = preset.nut_y, preset.nut_y - NUT_MM, preset.side_neck_mm
    thin = neck_thick(preset)
    thick, start = thin * 1.15, -min(HEEL_LONG_MM, -nut_y / 2)
    bend = [(thick * 1.05, 0.5), (deep * 0.5, 0.35), (deep - 3, 0.28)]
    cap = [(deep, 0.27), (deep, 0.22)]
    # One piece with the head, so that its figure runs on where it bends.
    front, behind = _head_end(preset)
    turn = base + thin * math.tan(math.radians(HEAD_BACK_DEG / 2))
    above = _towards((thin, turn), behind, BEND_MM)
    end, after = f"{_pair(behind)}L{_pair(above)}", f"{_pair((thin, turn + BEND_MM))}"
    run = (
        f"{end}Q{_pair((thin, turn))} {after}L{_pair((thick, start))}"
        f"C{_from_joint(bend, start)}Q{_from_joint(cap, start)}"
    )
    shape = f"M0 {number(base)}L{_pair(front)} {run}V0H0Z"
    top = base - head_long(preset)
    canvas.relief.cast(shape, NECK_HIGH_MM)
    group = canvas.part("neck", preset.part("neck").name)
    look = {"fill": canvas.paint("neck", (0.0, top, deep, -top))} | canvas.edge("neck")
    ET.SubElement(group, "path", {"d": shape} | look)
    if canvas.relief.on and canvas.has("neck"):
        round_ = ET.SubElement(group, "g", canvas.clip("neck-edge", shape))
        canvas.relief.turned_away(round_, f"M{run}", NECK_ROUND * thin)
    length = preset.fretboard.length_mm
    board = canvas.part("fretboard", preset.part("fretboard").name)
    strip = {"d": polygon(_slab(-BOARD_MM, nut_y, BOARD_MM, length))}
    paint = canvas.paint("fretboard", (-BOARD_MM, nut_y, BOARD_MM, length))
    ET.SubElement(board, "path", strip | {"fill": paint} | canvas.edge("fretboard"))
    _draw_frets(canvas, preset)
    nut = canvas.part("nut", preset.part("nut").name)
    high = BOARD_MM + ACTION_MM
    paint = canvas.paint("nut", (-high, base, high, NUT_MM), grain="across")
    shape = polygon(_slab(-high, base, high, NUT_MM))
    ET.SubElement(nut, "path", {"d": shape, "fill": paint} | canvas.edge("nut"))


def _draw_frets(canvas: SvgCanvas, preset: Preset) -> None:
    """The ends of the wires, on the treble side, over the board."""
    ends = (fret_drawn(preset, fret)[1] for fret in range(1, preset.frets + 1))
    wires = "".join(f"M{number(-BOARD_MM)} {number(y)}h{number(-CROWN_MM)}" for _, y in ends)
    line = {"d": wires, "stroke": METAL, "stroke-width": number(FRET_WIRE_MM)}
    ET.SubElement(canvas.root, "path", line | {"pointer-events": "none"})


def _head_end(preset: Preset) -> tuple[Point, Point]:
    """The far end of the head, which leans back: at its face, and behind."""
    turn, long, thin = math.radians(HEAD_BACK_DEG), head_long(preset), neck_thick(preset)
    base = preset.nut_y - NUT_MM
    x, y = long * math.sin(turn), base - long * math.cos(turn)
    return (x, y), (x + thin * math.cos(turn), y + thin * math.sin(turn))


def _towards(start: Point, end: Point, far: float) -> Point:
    share = far / math.dist(start, end)
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"


def _from_joint(run: Sequence[Point], start: float) -> str:
    """Points whose y is a share of the way from the joint to the heel's beginning."""
    return " ".join(f"{number(x)} {number(share * start)}" for x, share in run)


def head_long(preset: Preset) -> float:
    """Length of the head from the nut to its upper end, mm."""
    return max(distance for distance, _ in preset.head.crest)


def _leaning(preset: Preset) -> dict[str, str]:
    """The head leans back from the nut."""
    base = preset.nut_y - NUT_MM
    return {"transform": f"rotate({HEAD_BACK_DEG:g} 0 {number(base)})"}


def _draw_head(canvas: SvgCanvas, preset: Preset) -> None:
    """The headplate, and the tuners: pointing back out of slots, or seen on end."""
    base, long, thin = preset.nut_y - NUT_MM, head_long(preset), neck_thick(preset)
    lean = _leaning(preset)
    plate = canvas.part("headplate", preset.part("headplate").name)
    box = (-HEADPLATE_MM, base - long, HEADPLATE_MM, long)
    look = {"fill": canvas.paint("headplate", box, bent=True)} | canvas.edge("headplate")
    ET.SubElement(plate, "path", {"d": polygon(_slab(*box))} | look | lean)
    tuners = canvas.part("tuners", preset.part("tuners").name)
    paint = canvas.paint("tuners", (0.0, base - long, thin + 24, long))
    if preset.head.slotted:
        first, last = base - preset.head.posts_mm[0], base - preset.head.posts_mm[-1]
        strip = polygon(_slab(thin / 2 - 4, last - 10, 8, first - last + 20))
        ET.SubElement(tuners, "path", {"d": strip, "fill": METAL} | HAIRLINE | lean)
    for distance in preset.head.posts_mm:
        y = base - distance
        if preset.head.slotted:
            x, wide, high = thin + 3, 17.0, 9.0
            shaft = _slab(thin / 2, y - 1.5, x - thin / 2, 3)
        else:
            x, wide, high = (thin - 9) / 2, 9.0, 15.0
            shaft = _slab(-HEADPLATE_MM - 8, y - 3, 8, 6)
        post = {"d": polygon(shaft)} | lean
        ET.SubElement(tuners, "path", post | {"fill": METAL} | HAIRLINE)
        canvas.relief.gleam(tuners, "path", post)
        button = {
            "x": number(x),
            "y": number(y - high / 2),
            "width": number(wide),
            "height": number(high),
            "rx": "4",
            "fill": paint,
        }
        ET.SubElement(tuners, "rect", button | canvas.edge("tuners") | lean)
        canvas.shine(tuners, "rect", button | lean, "tuners")
        canvas.relief.gleam(tuners, "rect", button | lean)


def _draw_bridge(canvas: SvgCanvas, preset: Preset) -> None:
    rows, y = [y for _, y in bridge_outline(preset)], saddle_y(preset)
    front, deep = min(rows), max(rows) - min(rows)
    group = canvas.part("bridge", preset.part("bridge").name)
    low = BRIDGE_MM * 0.55
    shape = polygon(
        [
            (0, front),
            (-low, front),
            (-BRIDGE_MM, front + deep * 0.25),
            (-BRIDGE_MM, y + 4),
            (-low, front + deep),
            (0, front + deep),
        ]
    )
    paint = canvas.paint("bridge", (-BRIDGE_MM, front, BRIDGE_MM, deep), bent=True)
    ET.SubElement(group, "path", {"d": shape, "fill": paint} | canvas.edge("bridge"))
    saddle = canvas.part("saddle", preset.part("saddle").name)
    box = (-BRIDGE_MM - SADDLE_MM, y - 1.3, SADDLE_MM, 2.6)
    paint = canvas.paint("saddle", box, grain="across")
    ET.SubElement(
        saddle, "path", {"d": polygon(_slab(*box)), "fill": paint} | canvas.edge("saddle")
    )
    if preset.bridge.hold == "tailpiece":
        top = preset.body_mm - TAILPIECE_MM
        group = canvas.part("tailpiece", preset.part("tailpiece").name)
        strip = polygon([(-7, top), (-5, top), (0, preset.body_mm - 4), (0, preset.body_mm)])
        paint = canvas.paint("tailpiece", (-7.0, top, 7.0, TAILPIECE_MM))
        ET.SubElement(group, "path", {"d": strip, "fill": paint} | canvas.edge("tailpiece"))
        canvas.shine(group, "path", {"d": strip}, "tailpiece")


def _draw_strings(canvas: SvgCanvas, preset: Preset) -> None:
    """The strings lie behind each other, so that they show as one line."""
    y = saddle_y(preset)
    held = preset.body_mm - TAILPIECE_MM if preset.bridge.hold == "tailpiece" else y + 9
    end = (-6.0, held) if preset.bridge.hold == "tailpiece" else (-BRIDGE_MM * 0.7, held)
    line = [(-BOARD_MM - ACTION_MM, preset.nut_y), (-BRIDGE_MM - SADDLE_MM, y), end]
    path = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in line)
    strings = {"d": path, "fill": "none", "stroke": WOUND, "stroke-width": "0.9"}
    ET.SubElement(canvas.root, "path", strings | {"pointer-events": "none"})


def _slab(x: float, y: float, width: float, height: float) -> list[Point]:
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
