"""A line and a dot of an inlay on its timber, at their true size to each other."""

from __future__ import annotations

import math
from xml.etree import ElementTree as ET

from brief.errors import InputError, quoted
from brief.instrument.curve import number
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.fill import Fill
from brief.instrument.rendering.patterns import photograph

WIDTH_MM, HEIGHT_MM, DOT_MM = 60.0, 40.0, 8.0
SAMPLE_LINE_LIMITS = (0.1, 10.0)  # millimetres
CURVE = "M-6 34C14 30 20 27 31 20S46 9 66 6"


def draw_pair_sample(
    ground: Fill,
    inlay: Fill,
    *,
    line_mm: float,
    prefix: str,
    ground_width_mm: float = 150.0,
) -> str:
    """60 x 40 mm of the ground with a curved line and a dot of 8 mm in the inlay's colour.

    Parameters
    ----------
    ground, inlay : Fill
    line_mm : float, 0.1 to 10
        Width of the line.
    prefix : str
        Begins every id.
    ground_width_mm : float, 20 to 2000
        How much of the board the ground's photograph shows from side to side. One that shows less
        than 60 mm is mirrored at its sides to fill the view.

    Raises
    ------
    InputError
        For a width outside its range or a prefix that is no id.
    """
    _check("line_mm", line_mm, *SAMPLE_LINE_LIMITS)
    _check("ground_width_mm", ground_width_mm, 20.0, 2000.0)
    canvas = SvgCanvas({}, prefix=prefix, box=(0.0, 0.0, WIDTH_MM, HEIGHT_MM))
    view = {"width": number(WIDTH_MM), "height": number(HEIGHT_MM)}
    ET.SubElement(canvas.root, "rect", view | {"fill": ground.colour})
    if ground.picture is not None:
        beside = math.ceil((WIDTH_MM / ground_width_mm - 1) / 2)
        for place in range(-beside, beside + 1):
            middle = WIDTH_MM / 2 + place * ground_width_mm
            turn = -1 if place % 2 else 1
            photograph(
                canvas.root,
                ground,
                ground_width_mm,
                HEIGHT_MM,
                transform=f"translate({number(middle - turn * ground_width_mm / 2)})"
                f"scale({turn} 1)",
            )
    curve = {"d": CURVE, "fill": "none", "stroke": inlay.colour, "stroke-width": f"{line_mm:g}"}
    ET.SubElement(canvas.root, "path", curve)
    dot = {"cx": "14", "cy": "12", "r": number(DOT_MM / 2), "fill": inlay.colour}
    ET.SubElement(canvas.root, "circle", dot)
    return canvas.text(f"A line of {line_mm:g} mm and a dot, {inlay.label} on {ground.label}")


def _check(field: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise InputError.at(
            field,
            f"{field} must be between {least:g} and {most:g} mm; "
            f"got {quoted(value)}. Give it in mm.",
        )
