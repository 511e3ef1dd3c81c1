"""A plan as SVG: its size in millimetres, and one unit of the drawing one millimetre."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from brief.instrument.curve import Point
from brief.instrument.plans.draughting import MARGIN_MM, cautions_below
from brief.instrument.plans.plan import PENS, TOOLED, Circle, Layer, Line, Plan, Shape, Words
from brief.letters import one_line

SAID: tuple[Layer, ...] = ("dimensions", "words", "title block", "cautions")
SMALL_PX, SMALL_MARGIN = 1.3, 0.04
FONTS = "'DejaVu Sans', Verdana, sans-serif"


def as_svg(plan: Plan, cautions: Sequence[str] = ()) -> str:
    """The plan as a document of its own, every layer a group whose id is its name.

    It has no ground of its own, which a cutter would take for a line to follow. Places are written
    to a ten-thousandth of a millimetre. Any text is safe to put in. `cautions` are for whoever cuts
    from it, as its description and in lines under the sheet.
    """
    below = cautions_below(plan, cautions)
    height_mm = below[-1].at[1] + MARGIN_MM if below else plan.height_mm
    size = _number(plan.width_mm), _number(height_mm)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{size[0]}mm",
            "height": f"{size[1]}mm",
            "viewBox": f"0 0 {size[0]} {size[1]}",
            "role": "img",
        },
    )
    title = ET.SubElement(root, "title")
    title.text = one_line(f"{plan.sheet}, {plan.block.instrument}")
    if cautions:
        ET.SubElement(root, "desc").text = one_line(" ".join(cautions))
    for layer, pen in PENS.items():
        shapes = [shape for shape in (*plan.shapes, *below) if shape.layer == layer]
        if not shapes:
            continue
        group = ET.SubElement(
            root,
            "g",
            {
                "id": layer.replace(" ", "-"),
                "fill": "none",
                "stroke": pen.colour,
                "stroke-width": _number(pen.width_mm),
            },
        )
        if pen.dashes:
            group.set("stroke-dasharray", " ".join(_number(dash) for dash in pen.dashes))
        for shape in shapes:
            _draw(group, shape, layer)
    return ET.tostring(root, encoding="unicode")


def as_small_svg(plan: Plan) -> str:
    """What of a plan is drawn, without words, to be seen small.

    Its lines are of one width at any size, and it has no size of its own.
    """
    shapes = [one for one in plan.shapes if one.layer not in SAID and not isinstance(one, Words)]
    ends = [place for one in shapes for place in _ends(one)]
    left, top = (min(place[axis] for place in ends) for axis in (0, 1))
    wide, high = (max(place[axis] for place in ends) for axis in (0, 1))
    margin = SMALL_MARGIN * max(wide - left, high - top)
    box = (left - margin, top - margin, wide - left + 2 * margin, high - top + 2 * margin)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": " ".join(_number(side) for side in box),
            "role": "img",
        },
    )
    for layer, pen in PENS.items():
        width = str(SMALL_PX if layer in TOOLED else SMALL_PX / 2)
        group = ET.Element("g", {"fill": "none", "stroke": pen.colour, "stroke-width": width})
        for shape in shapes:
            if shape.layer == layer:
                _draw(group, shape, layer)
        for line in group:
            line.set("vector-effect", "non-scaling-stroke")
        if len(group):
            root.append(group)
    return ET.tostring(root, encoding="unicode")


def _ends(shape: Line | Circle) -> Iterable[Point]:
    match shape:
        case Line():
            return shape.points
        case Circle():
            (x, y), r = shape.middle, shape.radius_mm
            return [(x - r, y - r), (x + r, y + r)]


def _draw(group: ET.Element, shape: Shape, layer: Layer) -> None:
    match shape:
        case Line():
            run = "L".join(f"{_number(x)} {_number(y)}" for x, y in shape.points)
            ET.SubElement(group, "path", {"d": f"M{run}{'Z' if shape.closed else ''}"})
        case Circle():
            cx, cy = (_number(place) for place in shape.middle)
            at = {"cx": cx, "cy": cy, "r": _number(shape.radius_mm)}
            ET.SubElement(group, "circle", at)
        case Words():
            x, y = (_number(place) for place in shape.at)
            words: dict[str, str] = {
                "x": x,
                "y": y,
                "fill": PENS[layer].colour,
                "stroke": "none",
                "font-family": FONTS,
                "font-size": _number(shape.height_mm),
                "text-anchor": shape.anchor,
            }
            if shape.upright:
                words["transform"] = f"rotate(-90 {x} {y})"
            ET.SubElement(group, "text", words).text = shape.text


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")
