"""Where an inlay is let in, in numbers from what a rule can be laid against on its part."""

from __future__ import annotations

import math
from collections.abc import Sequence

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.inlay.polygons import Shapes
from brief.instrument.outline.outlines import NUT_MM, front_on_centre_y
from brief.instrument.plans.draughting import Draughting, fitting, millimetres
from brief.instrument.plans.tables import table
from brief.instrument.presets import Preset

HEADS = ("copy", "nearest", "middle", "farthest", "bass side", "middle", "treble side")
RIGHTS = (8.0, 24.0, 40.0, 57.0, 75.0, 91.0, 110.0)
RING_HEADS, RING_RIGHTS = ("inner", "middle", "outer"), (16.0, 32.0, 48.0)
FOOT_MM = 2.4  # letters of what is said under a table
SINCE: dict[LiesOn, str] = {
    "fretboard": "Along: from the end of the fretboard at the nut, along the centre line.",
    "headplate": "Along: up from the nut’s upper edge, along the centre line.",
    "bridge": "Along: from the front edge of the bridge at the centre line, to the tail.",
    "top": "Along: from the neck joint, along the centre line, to the tail.",
}
ACROSS = "Across: from the centre line, − to the bass side. All mm; middles are the crosses."


def place_table(
    drawn: Draughting, preset: Preset, name: str, lies_on: LiesOn, copies: Sequence[Shapes]
) -> None:
    """A table of where each copy is; round the rosette radii of one copy, and the step of all.

    It stands where a page has room, so that it says of which inlay it is.
    """
    heads: tuple[str, ...]
    rights: tuple[float, ...]
    if lies_on == "rosette":
        rows, said = [_from_the_centre(preset, copies[0])], _steps(len(copies))
        heads, rights = RING_HEADS, RING_RIGHTS
    else:
        measured = sorted(_measured(preset, lies_on, copy) for copy in copies)
        rows = [(str(i + 1), *map(_signed, row)) for i, row in enumerate(measured)]
        heads, rights, said = HEADS, RIGHTS, (SINCE[lies_on], ACROSS)
    foot = (fitting(f"Place of {name}.", RIGHTS[-1], FOOT_MM), *said)
    table(drawn, heads, rows, (0.0, 0.0), rights=rights, foot=foot)


def datum_y(preset: Preset, lies_on: LiesOn) -> float:
    """Where a part is measured from on its sheet, as y of the drawing, mm."""
    return {
        "fretboard": preset.nut_y,
        "headplate": preset.nut_y - NUT_MM,
        "bridge": front_on_centre_y(preset),
        "top": 0.0,
        "rosette": preset.hole.centre_mm,
    }[lies_on]


def _signed(length: float) -> str:
    return millimetres(length).replace("-", "−")


def _measured(preset: Preset, lies_on: LiesOn, copy: Shapes) -> tuple[float, ...]:
    """Nearest, middle and farthest along, then bass side, middle and treble side across."""
    left, upper, right, lower = copy.bounds
    base = datum_y(preset, lies_on)
    near, far = (
        (base - lower, base - upper) if lies_on == "headplate" else (upper - base, lower - base)
    )
    return near, (near + far) / 2, far, left, (left + right) / 2, right


def _from_the_centre(preset: Preset, copy: Shapes) -> tuple[str, ...]:
    """Inner, middle and outer radius."""
    import shapely

    centre = (0.0, datum_y(preset, "rosette"))
    inner = copy.distance(shapely.Point(centre))
    outer = max(math.dist(at, centre) for at in shapely.get_coordinates(copy))
    return tuple(map(millimetres, (inner, (inner + outer) / 2, outer)))


def _steps(count: int) -> tuple[str, str]:
    one = "On the centre line, on the tail side."
    more = f"{count} copies, one every {millimetres(360 / count)}°, the first on the tail side."
    return "Radii from the centre of the soundhole, in mm.", more if count > 1 else one
