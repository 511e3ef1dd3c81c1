"""The instrument from the front, the back or the side, all of it or close to one place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, get_args

from brief.errors import InputError, quoted
from brief.instrument.drawing.back import draw_back, paint_back
from brief.instrument.drawing.front import MARGIN_MM, draw_front, paint_front, view_box
from brief.instrument.drawing.parts.inlay_drawing import Inlaid
from brief.instrument.drawing.parts.neck import head_top
from brief.instrument.drawing.side import (
    BOARD_MM,
    BRIDGE_MM,
    HEAD_BACK_DEG,
    SADDLE_MM,
    draw_side,
    head_long,
    neck_thick,
    paint_side,
)
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas
from brief.instrument.rendering.fill import Box, Fill, Painted

BODY_NECK = 0.2
"""How much of the neck a view of the body shows, of the body's length."""
Face = Literal["front", "back", "side"]
TITLES: dict[Face, str] = {
    "front": "Front of the instrument",
    "back": "Back of the instrument",
    "side": "Side of the instrument",
}


def draw_picture(
    preset: Preset,
    fills: Mapping[str, Fill],
    face: Face,
    *,
    prefix: str,
    close: str = "whole",
    box: Box | None = None,
    inlays: Sequence[Inlaid] = (),
    height_px: int | None = None,
    shaded: bool = False,
) -> str:
    """One face as inline SVG with a `viewBox` in millimetres and no size of its own.

    All faces are as high as each other, so that at one height they are in proportion.

    Parameters
    ----------
    preset : Preset
    fills : mapping of str to Fill
        Material by role.
    face : str
        Front, back or side.
    prefix : str
        Begins every id.
    close : str
        A name that `closer` has.
    box : (x, y, width, height), optional
        The part that is shown instead, mm, so that two instruments can be shown at one size.
    inlays : sequence of Inlaid
        The maker's own, which the front shows.
    height_px : int, optional
        How high it will be shown, if it is to hold the photographs that its fills hold.
    shaded : bool
        Whether it has light and shadow.

    Raises
    ------
    InputError
        For a face or a close view that there is not.
    """
    boxes = closer(preset, face)
    if close not in boxes:
        raise InputError.at(
            "close", f"The {face} is shown as {', '.join(boxes)}; got {quoted(close)}. Choose one."
        )
    box, title = box or boxes[close], TITLES[face]
    fine = None if height_px is None else height_px / box[3]
    how = {"title": title, "prefix": prefix}
    match face:
        case "front":
            return draw_front(
                preset, fills, **how, view=box, inlays=inlays, px_per_mm=fine, shaded=shaded
            )
        case "back":
            return draw_back(preset, fills, **how, box=box, px_per_mm=fine, shaded=shaded)
        case "side":
            return draw_side(preset, fills, **how, box=box, px_per_mm=fine, shaded=shaded)


def painted_parts(
    preset: Preset, fills: Mapping[str, Fill], face: Face, inlays: Sequence[Inlaid] = ()
) -> dict[str, Painted]:
    """How each part is painted that this face shows, by role; the arguments are as above."""
    canvas = SvgCanvas(fills, prefix="p", box=closer(preset, face)["whole"])
    match face:
        case "front":
            paint_front(canvas, preset, inlays)
        case "back":
            paint_back(canvas, preset)
        case "side":
            paint_side(canvas, preset)
    return canvas.painted


def closer(preset: Preset, face: Face) -> dict[str, Box]:
    """The whole of one face and the places on it worth coming close to, as viewBoxes by name, mm.

    Raises
    ------
    InputError
        For a face that there is not.
    """
    if face not in get_args(Face):
        raise InputError.at(
            "view", f"The views are {', '.join(get_args(Face))}; got {quoted(face)}. Choose one."
        )
    whole, head = view_box(preset, "whole"), view_box(preset, "head")
    neck = BODY_NECK * preset.body_mm
    high = preset.body_mm + neck + MARGIN_MM
    body = (whole[0], -neck, whole[2], high)
    if face == "front":
        return {
            "whole": whole,
            "body": body,
            "head": head,
            "12th fret": view_box(preset, "twelfth"),
            "rosette": view_box(preset, "rosette"),
            "bridge": view_box(preset, "bridge"),
        }
    if face == "back":
        reach = preset.width_mm * 0.3
        heel = (-reach, -1.4 * reach, 2 * reach, 2 * reach)
        return {"whole": whole, "body": body, "head": head, "heel": heel}
    deepest = max(preset.side_neck_mm, preset.side_tail_mm)
    before = BRIDGE_MM + SADDLE_MM + MARGIN_MM
    across = before + max(deepest, _head_reach(preset)) + MARGIN_MM
    _, top, _, height = whole
    deep = preset.side_neck_mm + BOARD_MM + 2 * MARGIN_MM
    return {
        "whole": (-before, top, across, height),
        "body": (-before, -neck, across, high),
        "head": (-before, head_top(preset) - MARGIN_MM, across, head_long(preset) + 40),
        "heel": (-BOARD_MM - MARGIN_MM, -1.1 * deep, deep, 1.4 * deep),
    }


def _head_reach(preset: Preset) -> float:
    """How far a head that leans back comes out behind the neck, with its tuners, about."""
    return head_long(preset) * HEAD_BACK_DEG / 57.3 + neck_thick(preset) + 20
