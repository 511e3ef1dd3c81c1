"""A plan as SVG: its size in millimetres, and one unit of the drawing one millimetre."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from brief.instrument.plans.plan import (
    MARGIN_MM,
    PENS,
    Circle,
    Layer,
    Line,
    Plan,
    Shape,
    Words,
    cautions_below,
)
from brief.letters import one_line

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
