"""The front of an instrument in the maker's own timber, as one SVG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, get_args

from brief.errors import InputError, quoted
from brief.instrument.drawing.parts.body import draw_hole, draw_rosette, draw_top
from brief.instrument.drawing.parts.bridge import draw_bridge, draw_tailpiece
from brief.instrument.drawing.parts.inlay_drawing import Inlaid, InlayPainter
from brief.instrument.drawing.parts.neck import draw_fretboard, draw_head, head_top
from brief.instrument.drawing.parts.strings import draw_strings
from brief.instrument.outline.outlines import saddle_y
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import SvgCanvas, in_words
from brief.instrument.rendering.fill import Box, Fill

Extent = Literal["whole", "rosette", "twelfth", "head", "bridge"]
MARGIN_MM = 8.0


def draw_front(
    preset: Preset,
    fills: Mapping[str, Fill],
    *,
    title: str,
    prefix: str,
    only_role: str | None = None,
    view: Extent | Box = "whole",
    inlays: Sequence[Inlaid] = (),
    px_per_mm: float | None = None,
    shaded: bool = False,
) -> str:
    """The front as inline SVG with a `viewBox` in millimetres and no size of its own.

    Parameters
    ----------
    preset : Preset
    fills : mapping of str to Fill
        Material by role. A drawn part without one shows as hatched paper with a dashed edge; roles
        that the front does not show are left out of the picture. "bill" adds a thin curved line
        beside the inlay.
    title : str
        Opens the text for those who do not see it, such as "Front of the instrument".
    prefix : str
        Begins every id, so that several drawings can share a page.
    only_role : str, optional
        Show that part alone in its material, the others as outlines.
    view : str or (x, y, width, height)
        "whole", or a close view of one place in the same drawing, or any box of it, mm.
    inlays : sequence of Inlaid
        The maker's own. Where one is on the fretboard, its usual marks are left out.
    px_per_mm : float, optional
        How fine the photographs are that the drawing holds; without it, it links them.
    shaded : bool
        Whether it has light and shadow, which change colours where they fall.

    Returns
    -------
    str

    Raises
    ------
    InputError
        For a prefix that is no id, an unknown `only_role` or `view`.
    """
    if isinstance(view, str) and view not in get_args(Extent):
        raise InputError.at(
            "view", f"the views are {', '.join(get_args(Extent))}; got {quoted(view)}. Choose one."
        )
    if only_role is not None and only_role not in {"bill", *(one.role for one in inlays)}:
        preset.part(only_role)
    box = view_box(preset, view) if isinstance(view, str) else view
    canvas = SvgCanvas(
        fills, prefix=prefix, box=box, only=only_role, px_per_mm=px_per_mm, shaded=shaded
    )
    paint_front(canvas, preset, inlays)
    return canvas.text(_label(preset, fills, title, only_role, inlays))


def paint_front(canvas: SvgCanvas, preset: Preset, inlays: Sequence[Inlaid] = ()) -> None:
    """Draw all of the front, with the maker's own inlays."""
    painter = InlayPainter(canvas, inlays)
    draw_head(canvas, preset)  # which leans back, so that its shadow falls on nothing of the rest
    painter.draw("headplate")
    draw_top(canvas, preset)
    painter.draw("top")
    draw_rosette(canvas, preset)
    painter.draw("rosette")
    draw_fretboard(canvas, preset, painter)
    draw_hole(canvas, preset)
    draw_bridge(canvas, preset)
    painter.draw("bridge")
    if preset.bridge.hold == "tailpiece":
        draw_tailpiece(canvas, preset)
    draw_strings(canvas, preset)


def view_box(preset: Preset, view: Extent) -> Box:
    """What a view shows of the drawing, as an SVG viewBox in millimetres."""
    hole, board = preset.hole, preset.fretboard
    top, width = head_top(preset), preset.width_mm
    if view == "rosette":
        reach = max(outer for _, outer in hole.rosette_mm) * 1.25
        return (-reach, hole.centre_mm - reach, 2 * reach, 2 * reach)
    if view == "twelfth":
        middle = preset.nut_y + (board.fret_mm(11) + board.fret_mm(12)) / 2
        across = board.twelfth_mm * 1.1
        return (-across / 2, middle - across / 3, across, across * 2 / 3)
    if view == "head":
        across = 2 * max(half for _, half in preset.head.outline) + 44
        return (-across / 2, top - MARGIN_MM, across, preset.nut_y + 20 - top + MARGIN_MM)
    if view == "bridge":
        across = preset.bridge.width_mm * 1.2
        return (-across / 2, saddle_y(preset) - across / 4, across, across / 2)
    height = preset.body_mm - top
    return (
        -width / 2 - MARGIN_MM,
        top - MARGIN_MM,
        width + 2 * MARGIN_MM,
        height + 2 * MARGIN_MM,
    )


def _label(
    preset: Preset,
    fills: Mapping[str, Fill],
    title: str,
    only_role: str | None,
    inlays: Sequence[Inlaid],
) -> str:
    shown = {part.role: part.name.lower() for part in preset.parts if part.drawn}
    shown |= {one.role: one.name.lower() for one in inlays}
    if "bill" in fills:
        shown["bill"] = "bill"
    if only_role is not None:
        chosen = fills[only_role].label if only_role in fills else "still open"
        name = shown.get(only_role) or preset.part(only_role).name.lower()
        unseen = "" if only_role in shown else ", not seen from the front"
        return f"{title}: {name} {chosen}{unseen}"
    return in_words(title, shown, fills)
