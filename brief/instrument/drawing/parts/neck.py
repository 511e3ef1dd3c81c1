"""The neck from the front: head, tuners, nut, fretboard and its inlay."""

from __future__ import annotations

from itertools import pairwise
from xml.etree import ElementTree as ET

from brief.instrument.curve import mirrored, number, path_data, polygon, smooth
from brief.instrument.drawing.parts.inlay_drawing import InlayPainter
from brief.instrument.drawing.parts.marks import usual_marks
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn
from brief.instrument.outline.outlines import NUT_MM, head_sides
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.inks import BONE, HAIRLINE, METAL

# Of a slotted head: common practice, no source.
SLOT_INNER_MM, SLOT_OUTER_MM, SLOT_BEYOND_MM = 8.0, 22.0, 17.0
SLOT_WALL_MM = 2.0  # of what is seen of its walls
FRET_WIRE_MM = 1.6
# Above what lies below, for their shadows alone; common practice, no source.
HEAD_HIGH_MM, BOARD_HIGH_MM, NUT_HIGH_MM = 8.0, 6.0, 2.0
BOARD_EDGE_MM, NUT_EDGE_MM = 0.9, 0.7  # of their edges, which turn away from the eye
POST_MM = 5.0  # radius of a post in a solid head


def head_top(preset: Preset) -> float:
    """The y of the head's upper end, mm."""
    return preset.nut_y - NUT_MM - max(distance for distance, _ in preset.head.crest)


def post_places(preset: Preset) -> list[tuple[float, float]]:
    """Where each string ends on the head, bass to treble; the outer strings end nearest."""
    base = preset.nut_y - NUT_MM
    side = (SLOT_INNER_MM + SLOT_OUTER_MM) / 2 if preset.head.slotted else None
    left = []
    for distance in preset.head.posts_mm:
        across = side or half_width(preset, distance) - 11
        left.append((-across, base - distance))
    return [*left, *((-x, y) for x, y in reversed(left))]


def half_width(preset: Preset, distance: float) -> float:
    """Half the head's width at a distance from the nut, straight between its stations."""
    stations = preset.head.outline
    for (d1, w1), (d2, w2) in pairwise(stations):
        if d1 <= distance <= d2:
            return w1 + (w2 - w1) * (distance - d1) / (d2 - d1)
    return stations[-1][1]


def draw_head(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the head: buttons, headplate, slots and posts."""
    head, base = preset.head, preset.nut_y - NUT_MM
    name = preset.part("headplate").name
    canvas.relief.cast(head_path(preset), HEAD_HIGH_MM)
    draw_buttons(canvas, preset)
    shape = head_path(preset)
    widest, top = max(half for _, half in head.outline), head_top(preset)
    group = canvas.part("headplate", name)
    paint = canvas.paint("headplate", (-widest, top, 2 * widest, base - top))
    ET.SubElement(group, "path", {"d": shape, "fill": paint} | canvas.edge("headplate"))
    draw_slots(canvas, preset, group)
    draw_posts(canvas, preset)


def head_path(preset: Preset, *, behind: bool = False) -> str:
    """The outline of the head, closed, as path data; `behind` as it is seen from there."""
    head, base = preset.head, preset.nut_y - NUT_MM
    side, bass = head_sides(preset)
    if behind:
        side, bass = ([(-x, y) for x, y in run] for run in (bass, side))
    crest = mirrored([(half, base - distance) for distance, half in head.crest])
    other = bass[::-1]
    return (
        path_data(smooth(side))
        + path_data(smooth(crest), start=False)
        + path_data(smooth(other), start=False)
        + "Z"
    )


def draw_slots(canvas: SvgCanvas, preset: Preset, group: ET.Element) -> None:
    """The slots of a slotted head, which go right through it."""
    head, base = preset.head, preset.nut_y - NUT_MM
    if head.slotted:
        first, last = base - head.posts_mm[0], base - head.posts_mm[-1]
        wide, high = SLOT_OUTER_MM - SLOT_INNER_MM, first - last + 2 * SLOT_BEYOND_MM
        for x in (-SLOT_OUTER_MM, SLOT_INNER_MM):
            slot = {
                "x": number(x),
                "y": number(last - SLOT_BEYOND_MM),
                "width": number(wide),
                "height": number(high),
                "rx": number(wide / 2),
                "fill": canvas.dark,
            }
            ET.SubElement(group, "rect", slot | HAIRLINE)
            inner = {"x": x + SLOT_WALL_MM / 2, "y": last - SLOT_BEYOND_MM + SLOT_WALL_MM / 2}
            inner |= {"width": wide - SLOT_WALL_MM, "height": high - SLOT_WALL_MM}
            inner |= {"rx": (wide - SLOT_WALL_MM) / 2}
            wall = {name: number(length) for name, length in inner.items()}
            canvas.relief.rim(group, "rect", wall, SLOT_WALL_MM)


def draw_buttons(canvas: SvgCanvas, preset: Preset) -> None:
    """The buttons, of which a slotted head hides the inner half."""
    group = canvas.part("tuners", preset.part("tuners").name)
    base, reach = preset.nut_y - NUT_MM, max(half for _, half in preset.head.outline) + 20
    top = head_top(preset)
    paint = canvas.paint("tuners", (-reach, top, 2 * reach, base - top))
    wide, high, out = (9.0, 13.0, -1.5) if preset.head.slotted else (10.0, 15.0, 5.5)
    for distance in preset.head.posts_mm:
        y, flank = base - distance, half_width(preset, distance)
        for side in (1, -1):
            if not preset.head.slotted:
                stem = {"d": f"M{number(side * flank)} {number(y)}H{number(side * (flank + out))}"}
                ET.SubElement(group, "path", stem | {"stroke": METAL, "stroke-width": "2.6"})
            button = {
                "x": number(min(side * (flank + out), side * (flank + out + wide))),
                "y": number(y - high / 2),
                "width": number(wide),
                "height": number(high),
                "rx": "4",
                "fill": paint,
            }
            ET.SubElement(group, "rect", button | canvas.edge("tuners"))
            canvas.shine(group, "rect", button, "tuners")
            canvas.relief.gleam(group, "rect", button)


def draw_posts(canvas: SvgCanvas, preset: Preset) -> None:
    """Draw the posts of the tuners, or their rollers in a slotted head."""
    for x, y in post_places(preset):
        if preset.head.slotted:
            half = (SLOT_OUTER_MM - SLOT_INNER_MM) / 2
            roller = {"d": f"M{number(x - half)} {number(y)}h{number(2 * half)}"}
            ET.SubElement(canvas.root, "path", roller | {"stroke": BONE, "stroke-width": "6"})
            shape = {"x": number(x - half), "y": number(y - 3), "width": number(2 * half)}
            canvas.relief.gleam(canvas.root, "rect", shape | {"height": "6"})
        else:
            at = {"cx": number(x), "cy": number(y), "fill": METAL}
            ET.SubElement(canvas.root, "circle", at | {"r": number(POST_MM)} | HAIRLINE)
            ET.SubElement(canvas.root, "circle", at | {"r": "2.6"} | HAIRLINE)
            canvas.relief.gleam(canvas.root, "circle", at | {"r": number(POST_MM)})


def draw_fretboard(canvas: SvgCanvas, preset: Preset, inlays: InlayPainter) -> None:
    """The board with what is laid into it, or else the usual marks; wires and nut over it."""
    board, nut_y = preset.fretboard, preset.nut_y
    length = board.length_mm
    near, far = board.nut_mm / 2, board.width_mm(length) / 2
    shape = polygon(board_drawn(preset))
    corners = board_drawn(preset)
    beside_nut = [(x, y - NUT_MM) for x, y in corners[:2]]
    canvas.relief.cast(polygon([*beside_nut, *corners[2:]]), BOARD_HIGH_MM)
    group = canvas.part("fretboard", preset.part("fretboard").name)
    paint = canvas.paint("fretboard", (-far, nut_y, 2 * far, length))
    ET.SubElement(group, "path", {"d": shape, "fill": paint} | canvas.edge("fretboard"))
    *_, treble, bass = board_drawn(preset)
    (x, y), (x_2, y_2) = ((x, y - BOARD_EDGE_MM) for x, y in (bass, treble))
    canvas.relief.bevel(f"M{number(x)} {number(y)}L{number(x_2)} {number(y_2)}", 2 * BOARD_EDGE_MM)
    if not inlays.draw("fretboard"):
        _draw_inlay(canvas, preset)
    metal = {"class": "frets", "stroke": METAL, "stroke-width": f"{FRET_WIRE_MM}"}
    wires = ET.SubElement(canvas.root, "g", metal | {"pointer-events": "none"})
    for fret in range(1, board.frets + 1):
        (x, y), (x_2, y_2) = fret_drawn(preset, fret)
        end = f"H{number(x_2)}" if y == y_2 else f"L{number(x_2)} {number(y_2)}"
        wire = f"M{number(x)} {number(y)}{end}"
        ET.SubElement(wires, "path", {"d": wire})
        canvas.relief.wire(wires, wire, FRET_WIRE_MM)
    _draw_nut(canvas, preset, near)


def _draw_nut(canvas: SvgCanvas, preset: Preset, near: float) -> None:
    """The nut, which stands above the headplate and the board."""
    (x, y), (x_2, y_2) = fret_drawn(preset, 0)
    strip = [(x, y - NUT_MM), (x_2, y_2 - NUT_MM), (x_2, y_2), (x, y)]
    canvas.relief.cast(polygon(strip), NUT_HIGH_MM)
    nut = canvas.part("nut", preset.part("nut").name)
    box = (-near, preset.nut_y - NUT_MM, 2 * near, NUT_MM)
    paint = canvas.paint("nut", box, grain="across")
    ET.SubElement(nut, "path", {"d": polygon(strip), "fill": paint} | canvas.edge("nut"))
    front = f"M{number(x)} {number(y - NUT_EDGE_MM)}L{number(x_2)} {number(y_2 - NUT_EDGE_MM)}"
    canvas.relief.bevel(front, 2 * NUT_EDGE_MM)


def _draw_inlay(canvas: SvgCanvas, preset: Preset) -> None:
    """The usual marks. A bill, where there is one, runs on from the lens in place of the dots."""
    marks = usual_marks(preset, bill=canvas.has("bill"))
    middle, long, thick, y = marks.middle, marks.long, marks.thick, marks.y
    group = canvas.part("inlay", preset.part("inlay").name)
    paint = canvas.paint("inlay", marks.box)
    lens = (
        f"M{number(middle - long)} {number(y)}"
        f"q{number(long)} {number(-2 * thick)} {number(2 * long)} 0"
        f"q{number(-long)} {number(2 * thick)} {number(-2 * long)} 0Z"
    )
    shapes = [ET.SubElement(group, "path", {"d": lens})]
    for x in marks.dots:
        at = {"cx": number(x), "cy": number(y), "r": number(marks.dot)}
        shapes.append(ET.SubElement(group, "circle", at))
    turned = {"transform": f"rotate({marks.turn:.2f} 0 {number(y)})"} if marks.turn else {}
    for shape in shapes:
        plain = dict(shape.attrib) | turned
        shape.attrib |= {"fill": paint} | canvas.edge("inlay") | turned
        canvas.shine(group, shape.tag, plain, "inlay")
    if marks.bill:
        start, *ends = marks.bill
        curve = f"M{number(start[0])} {number(start[1])}C" + " ".join(
            f"{number(x)} {number(at)}" for x, at in ends
        )
        line = {"d": curve, "fill": "none", "stroke-width": "1", "stroke-linecap": "round"}
        box = (start[0], marks.box[1], ends[-1][0] - start[0], marks.box[3])
        group = canvas.part("bill", "Bill")
        stroke = {"stroke": canvas.paint("bill", box, grain="across")}
        ET.SubElement(group, "path", line | stroke | turned)
