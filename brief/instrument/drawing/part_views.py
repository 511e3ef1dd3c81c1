"""Where each part is seen best on the pictures of the instrument, to be cut out of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from brief.instrument.drawing.front import Extent, view_box
from brief.instrument.drawing.parts.body import TAILPIECE_MM
from brief.instrument.drawing.parts.inlay_drawing import Inlaid, around, close_box
from brief.instrument.drawing.parts.neck import half_width, head_top
from brief.instrument.drawing.views import Face
from brief.instrument.outline.outlines import NUT_MM, saddle_y
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Box

EDGE_MM = 26.0  # how much of the body is shown round a line along its edge
PartPlace = tuple[Face, Box]


def part_place(preset: Preset, role: str, inlays: Sequence[Inlaid] = ()) -> PartPlace | None:
    """The face that shows a part, and the place on it, mm of the drawing.

    What is shown may be cut to any shape about the middle of the box. None for a role that no face
    shows. The maker's own `inlays` come before the usual marks.
    """
    own = [one.box for one in inlays if one.role == role]
    if own:
        return "front", close_box(around(own))
    if role == "tailpiece" and preset.bridge.hold != "tailpiece":
        return None
    if role in ("inlay", "bill") and any(one.lies_on == "fretboard" for one in inlays):
        return None  # their usual marks are left out for the maker's own
    find = _PLACES.get(role)
    return find(preset) if find else None


def _top(preset: Preset) -> PartPlace:
    half = preset.width_mm / 2
    return "front", (-half, preset.body_mm - 2 * half, 2 * half, 2 * half)


def _edge(preset: Preset) -> PartPlace:
    """The edge where the lower bout is widest."""
    widest_y = max(preset.outline, key=lambda station: station[1])[0]
    return "front", _square(preset.width_mm / 2 - EDGE_MM * 0.35, widest_y, EDGE_MM)


def _fretboard(preset: Preset) -> PartPlace:
    wide = preset.fretboard.twelfth_mm
    return "front", _square(0, preset.nut_y * 0.6, 1.8 * wide)


def _nut(preset: Preset) -> PartPlace:
    return "front", _square(0, preset.nut_y - NUT_MM / 2, preset.nut_mm * 1.25)


def _saddle(preset: Preset) -> PartPlace:
    return "front", _square(0, saddle_y(preset), preset.bridge.spread_mm * 1.3)


def _tuners(preset: Preset) -> PartPlace:
    middle = preset.head.posts_mm[len(preset.head.posts_mm) // 2]
    x, y = half_width(preset, middle), preset.nut_y - NUT_MM - middle
    return "front", _square(x + 2, y, 48)


def _tailpiece(preset: Preset) -> PartPlace:
    return "front", _square(0, preset.body_mm - TAILPIECE_MM / 2, TAILPIECE_MM * 1.3)


def _back(preset: Preset) -> PartPlace:
    return "back", _top(preset)[1]


def _neck(preset: Preset) -> PartPlace:
    return "back", _square(0, preset.nut_y * 0.22, preset.fretboard.twelfth_mm * 3)


def _sides(preset: Preset) -> PartPlace:
    deep = max(preset.side_neck_mm, preset.side_tail_mm)
    return "side", _square(deep / 2, preset.body_mm * 0.4, deep * 1.2)


def _square(x: float, y: float, side: float) -> Box:
    return x - side / 2, y - side / 2, side, side


def _close(name: Extent) -> Callable[[Preset], PartPlace]:
    return lambda preset: ("front", view_box(preset, name))


def _headplate(preset: Preset) -> PartPlace:
    top, base = head_top(preset), preset.nut_y
    return "front", _square(0, (top + base) / 2, (base - top) * 1.04)


_PLACES: dict[str, Callable[[Preset], PartPlace]] = {
    "top": _top,
    "back": _back,
    "sides": _sides,
    "neck": _neck,
    "headplate": _headplate,
    "fretboard": _fretboard,
    "bridge": _close("bridge"),
    "binding": _edge,
    "purfling": _edge,
    "rosette": _close("rosette"),
    "inlay": _close("twelfth"),
    "bill": _close("twelfth"),
    "nut": _nut,
    "saddle": _saddle,
    "tuners": _tuners,
    "tailpiece": _tailpiece,
}
