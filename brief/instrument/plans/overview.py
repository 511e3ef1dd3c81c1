"""The whole instrument on one page, made smaller: for whoever asked for it, not to cut from."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from brief.instrument.curve import Point
from brief.instrument.drawing.back import HEEL_CAP_MM, HEEL_HALF_MM
from brief.instrument.drawing.parts.neck import post_places
from brief.instrument.drawing.side import BOARD_MM, HEAD_BACK_DEG, head_long, neck_thick
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn, lean
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.outline.bouts import SAID, bouts
from brief.instrument.outline.outlines import (
    NUT_MM,
    body_outline,
    bridge_outline,
    head_outline,
    saddle_y,
)
from brief.instrument.plans.draughting import Draughting, millimetres, with_doubt
from brief.instrument.plans.head_sheet import POST_MM, slots_of_head
from brief.instrument.plans.plan import Circle, Line, Plan, Shape, TitleBlock, moved
from brief.instrument.presets import Preset

PAGE_MM = (176.0, 180.0)  # what A4 and Letter have room for beside the title block
SCALES = (4, 5, 6, 8, 10, 12)
APART_MM = 60.0  # between the faces, at true size


def overview_sheet(
    preset: Preset, block: TitleBlock, let_in: Sequence[Sequence[Point]] = ()
) -> Plan:
    """Front, side and back beside each other, as small as one page needs, and the main sizes.

    `let_in` are outlines of inlays on the front, in the drawing's places.
    """
    faces = [_front(preset, let_in), _side(preset), _back(preset)]
    half = max(preset.width_mm / 2, *(x for x, _ in head_outline(preset)))
    deep = max(preset.side_neck_mm, preset.side_tail_mm)
    lefts = [half, 2 * half + APART_MM, 3 * half + 2 * APART_MM + deep]
    across = lefts[-1] + half
    tall = head_long(preset) + NUT_MM - preset.nut_y + preset.body_mm
    by = next(
        (n for n in SCALES if across / n <= PAGE_MM[0] and tall / n <= PAGE_MM[1]), SCALES[-1]
    )
    drawn = Draughting()
    for left, face in zip(lefts, faces, strict=True):
        drawn.shapes += moved(_smaller(face, by), left / by, 0.0)
    for name, left in zip(("Front", "Side", "Back"), lefts, strict=True):
        shown = left + deep / 2 if name == "Side" else left
        drawn.words((shown / by, preset.body_mm / by + 8), name, 3.4, "middle")
    drawn.notes((0.0, preset.body_mm / by + 18), _sizes(preset))
    return drawn.plan("Overview", block, scale=by)


def _sizes(preset: Preset) -> list[str]:
    scale = f"Scale {millimetres(preset.scale_mm)}"
    if preset.fan_mm:
        scale += f" to {millimetres(preset.scale_mm - preset.fan_mm)}"
    widths = ", ".join(
        f"{SAID[bout.name]} {with_doubt(bout.width_mm, preset.outline_doubt_mm or 0.0)}"
        for bout in bouts(preset.outline)
    )
    return [
        f"{preset.name}: {preset.strings} strings, {preset.frets} frets, "
        f"{preset.frets_to_body} to the body.",
        f"{scale}, nut {millimetres(preset.nut_mm)}.",
        f"Body {millimetres(preset.body_mm)} long; {widths}.",
        f"Sides {millimetres(preset.side_neck_mm)} deep at the neck, "
        f"{millimetres(preset.side_tail_mm)} at the tail. Lengths in mm.",
    ]


def _front(preset: Preset, let_in: Sequence[Sequence[Point]]) -> list[Shape]:
    hole = preset.hole
    closed = [body_outline(preset), head_outline(preset), board_drawn(preset)]
    closed += [bridge_outline(preset), *(list(run) for run in let_in)]
    radii = [hole.diameter_mm / 2, *(radius for ring in hole.rosette_mm for radius in ring)]
    shapes: list[Shape] = [_closed(run) for run in closed]
    shapes += [Circle("reference", (0.0, hole.centre_mm), radius) for radius in radii]
    shapes += [
        Line("reference", tuple(fret_drawn(preset, fret))) for fret in range(1, preset.frets + 1)
    ]
    for start, end in zip(
        string_places(preset, preset.nut_spread_mm),
        string_places(preset, preset.bridge.spread_mm),
        strict=True,
    ):
        nut = (start, preset.nut_y + lean(preset, 0) * start)
        shapes.append(Line("strings", (nut, (end, saddle_y(preset, end)))))
    if preset.head.slotted:
        shapes += [_closed(slot) for _, slot in slots_of_head(preset)]
    else:
        shapes += [Circle("reference", post, POST_MM / 2) for post in post_places(preset)]
    return shapes


def _side(preset: Preset) -> list[Shape]:
    """The top at the left, as the front is beside it."""
    tail, near, deep = preset.body_mm, preset.side_neck_mm, preset.side_tail_mm
    thin, base = neck_thick(preset), preset.nut_y - NUT_MM
    board = preset.nut_y + preset.fretboard.length_mm
    turn, long = math.radians(HEAD_BACK_DEG), head_long(preset)
    along, across = (
        (math.sin(turn) * long, -math.cos(turn) * long),
        (
            math.cos(turn) * thin,
            math.sin(turn) * thin,
        ),
    )
    head = [(0.0, base), along, (along[0] + across[0], along[1] + across[1]), across]
    head = [head[0], *((x, y + base) for x, y in head[1:])]
    return [
        _closed([(0.0, 0.0), (near, 0.0), (deep, tail), (0.0, tail)]),
        _closed([(-BOARD_MM, preset.nut_y), (0.0, preset.nut_y), (0.0, board), (-BOARD_MM, board)]),
        _closed(head),
        Line("reference", ((thin, base), (thin * 1.15, -80.0), (near - 4, -22.0), (near - 4, 0.0))),
    ]


def _back(preset: Preset) -> list[Shape]:
    mirrored = [[(-x, y) for x, y in run] for run in (body_outline(preset), head_outline(preset))]
    near, far = preset.nut_mm / 2, preset.fretboard.width_mm(-preset.nut_y) / 2
    base, cap, half = preset.nut_y - NUT_MM, -HEEL_CAP_MM, HEEL_HALF_MM
    return [
        *(_closed(run) for run in mirrored),
        *(
            Line("reference", ((side * near, base), (side * far, -62.0), (side * half, cap),
                               (side * half, 0.0)))
            for side in (-1, 1)
        ),
        Line("reference", ((-half, cap), (half, cap))),
        Line("centre line", ((0.0, 0.0), (0.0, preset.body_mm))),
    ]  # fmt: skip


def _closed(run: Sequence[Point]) -> Line:
    points = tuple(run[:-1] if run[0] == run[-1] else run)
    return Line("reference", points, closed=True)


def _smaller(shapes: Iterable[Shape], by: float) -> list[Shape]:
    """Shapes without words, that many times smaller."""
    made: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Line):
            made.append(replace(shape, points=tuple((x / by, y / by) for x, y in shape.points)))
        elif isinstance(shape, Circle):
            x, y = shape.middle
            made.append(replace(shape, middle=(x / by, y / by), radius_mm=shape.radius_mm / by))
    return made
