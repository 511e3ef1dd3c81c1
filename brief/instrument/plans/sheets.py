"""The sheets of an instrument to measure from at the bench: fretboard, body and bridge.

What the instrument's numbers leave open is drawn at a usual size: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from brief.instrument.curve import Point
from brief.instrument.frets.fret_lines import board_corners, fret_ends, lean
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.model.contacts import SADDLE_MM
from brief.instrument.outline.bouts import bouts
from brief.instrument.outline.outlines import (
    SADDLE_BEYOND_MM,
    body_outline,
    bridge_front_y,
    bridge_outline,
    bridge_shape,
    bridge_turn,
    front_on_centre_y,
    on_top,
    saddle_y,
    treble_outline,
)
from brief.instrument.plans.draughting import Draughting, Outline, arc, millimetres
from brief.instrument.plans.plan import Layer, Plan, TitleBlock
from brief.instrument.plans.side_sheets import NO_SOURCE, edge_ledges
from brief.instrument.plans.tables import (
    PIN_BEHIND_MM,
    PIN_MM,
    bridge_table,
    fret_table,
    nut_table,
    outer_saddle_mm,
)
from brief.instrument.presets import Preset

BOARD_THICK_MM = 6.0
DOTTED, TWICE = (3, 5, 7, 9, 12, 15, 17, 19, 21, 24), (12, 24)  # by frets: common practice
DOT_MM, DOT_OFF_MM = 2.0, 3.0


def fretboard_sheet(preset: Preset, block: TitleBlock, let_in: Sequence[Outline] = ()) -> Plan:
    """The board with its slots, strings and end, the table of frets, and its section.

    `let_in`, here and on the sheets below, are outlines of inlays, in the drawing's places.
    """
    drawn, board = Draughting(), preset.fretboard
    near, far, end = board.nut_mm / 2, board.width_mm(board.length_mm) / 2, board.length_mm
    corners = board_corners(preset)
    nut_bass, _, end_treble, end_bass = corners
    drawn.outline("cut through", corners)
    low = max(end_bass[1], end_treble[1])
    drawn.line("centre line", (0.0, -4.0), (0.0, low + 4))
    _strings(drawn, preset)
    for run in let_in:
        drawn.outline("pocket", [(x, y - preset.nut_y) for x, y in run])
    rows = board.fret_table()
    for row in rows:
        bass, treble = fret_ends(preset, row.fret)
        drawn.line("slots", bass, treble)
        joint = f"   body joint, {millimetres(row.width_mm)} wide"
        said = f"{row.fret}{joint if row.fret == preset.frets_to_body else ''}"
        drawn.words((treble[0] + 1.5, treble[1] + 1), said, 2.8)
    drawn.across((-near, 0.0), (near, 0.0), min(y for _, y in corners) - 6)
    drawn.across((-far, end), (far, end), low + 8)
    drawn.down(nut_bass, fret_ends(preset, 12)[0], -far - 6)
    drawn.down(nut_bass, fret_ends(preset, board.frets)[0], -far - 12)
    drawn.down(nut_bass, end_bass, -far - 18)
    _side_dots(drawn, preset)
    low = fret_table(drawn, preset, (far + 10, 3.0))
    under = nut_table(drawn, preset, (far + 10, low + 6)) + 6
    dots = f"Rings: side dots, {millimetres(DOT_MM)} across, on the bass edge ({NO_SOURCE})."
    drawn.notes((far + 10, under + 60), [dots])
    ends = ((0.0, "Section at the nut"), (end, "Section at the end"))
    with drawn.apart():
        for i, (place, said) in enumerate(ends):
            _section(drawn, preset, place, said, (2 * far + 10, under + 24 * i))
    return drawn.plan("Fretboard", block)


def body_sheet(
    preset: Preset, block: TitleBlock, let_in: Sequence[Outline] = (), *, half: bool = False
) -> Plan:
    """The outline of the body with its soundhole, rosette, bridge and the end of the board.

    `half` draws the treble half alone, to be folded over or turned at the centre line.
    """
    drawn, hole, side = Draughting(), preset.hole, preset.width_mm / 2
    body, left = body_outline(preset), 0.0 if half else -side
    if half:  # a template, closed along the centre line; what lies within it is to read
        drawn.outline("cut through", treble_outline(preset))
        if preset.cutaway_depth_mm:
            drawn.line("reference", *treble_outline(preset, plain=True))
    else:
        drawn.outline("cut through", body)
    drawn.line("centre line", (0.0, -6.0), (0.0, preset.body_mm + 6))
    _rings(drawn, "hole", (0.0, hole.centre_mm), [hole.diameter_mm / 2], half)
    radii = [radius for ring in hole.rosette_mm for radius in ring]
    _rings(drawn, "channel", (0.0, hole.centre_mm), radii, half)
    ledges = [] if half else edge_ledges(drawn, preset)
    for run in let_in:
        drawn.outline("pocket", run)
    end = preset.nut_y + preset.fretboard.length_mm
    joint = preset.fretboard.width_mm(-preset.nut_y) / 2
    end_treble, end_bass = ((x, preset.nut_y + y) for x, y in board_corners(preset)[2:])
    bridge, reach = bridge_outline(preset), preset.bridge.spread_mm / 2
    saddle = [(x, saddle_y(preset, x)) for x in (-reach, reach)]
    if half:
        drawn.line("reference", (joint, 0.0), end_treble, (0.0, end))
        drawn.line("reference", *_right(bridge[:-1]))
        drawn.line("reference", (0.0, saddle_y(preset)), saddle[1])
    else:
        drawn.line("reference", (-joint, 0.0), end_bass, end_treble, (joint, 0.0))
        drawn.outline("reference", bridge)
        drawn.line("reference", *saddle)
    for bout in bouts(preset.outline):
        reach_mm = bout.width_mm / 2
        doubt = (preset.outline_doubt_mm or 0.0) / (2 if half else 1)
        start = (0.0 if half else -reach_mm, bout.at_mm)
        drawn.across(start, (reach_mm, bout.at_mm), bout.at_mm, doubt)
    places = sorted(
        [
            *((bout.at_mm, bout.width_mm / 2) for bout in bouts(preset.outline)),
            (hole.centre_mm, 0.0),
            (front_on_centre_y(preset), preset.bridge.width_mm / 2),
            (preset.body_mm, 0.0),
        ]
    )
    for i, (at, across) in enumerate(places):
        drawn.down((0.0, 0.0), (across, at), side + 8 + 7 * i)
    front = front_on_centre_y(preset) - preset.nut_y
    notes = [
        "Widths are half widths, from the centre line." if half else "Widths are full widths.",
        f"Bridge: front edge {millimetres(front)} from the nut.",
        f"Scale {_scales(preset)}; compensation "
        f"{millimetres(preset.bridge.bass_mm)} bass, "
        f"{millimetres(preset.bridge.treble_mm)} treble.",
        f"Soundhole diameter {millimetres(hole.diameter_mm)}. Sides "
        f"{millimetres(preset.side_neck_mm)} deep at the neck, "
        f"{millimetres(preset.side_tail_mm)} at the tail.",
    ]
    if half and preset.fan_mm:
        notes.append("The frets fan: fretboard and bridge are drawn as on the treble half.")
    if preset.cutaway_depth_mm:
        notes.append(
            f"Cutaway {millimetres(preset.cutaway_depth_mm)} in from the treble side and "
            f"{millimetres(preset.cutaway_length_mm)} down from the neck joint."
            + (" The thin line is the bass half." if half else "")
        )
    drawn.notes((left, drawn.notes((left, preset.body_mm + 14), notes) + 4), ledges)
    return drawn.plan("Body, half" if half else "Body", block)


def bridge_sheet(preset: Preset, block: TitleBlock, let_in: Sequence[Outline] = ()) -> Plan:
    """The bridge with its saddle and, where the strings end in it, their holes."""
    drawn, bridge = Draughting(), preset.bridge
    run, front = bridge_shape(preset), bridge_front_y(preset)
    drawn.outline("cut through", run)
    for inlay in let_in:
        drawn.outline("pocket", on_top(preset, inlay, back=True))
    back, half, reach = front + bridge.depth_mm, bridge.width_mm / 2, bridge.spread_mm / 2
    far = reach + SADDLE_BEYOND_MM
    ends = on_top(preset, [(x, saddle_y(preset, x)) for x in (-far, far)], back=True)
    thick = SADDLE_MM / 2
    drawn.outline(
        "pocket",
        [(x, y - thick) for x, y in ends] + [(x, y + thick) for x, y in reversed(ends)],
    )
    places = string_places(preset, bridge.spread_mm)
    starts: list[Point] = []
    holes: list[Point] = []
    aslant = math.tan(bridge_turn(preset))  # as a string crosses a bridge that is turned
    for x in places:
        y = saddle_y(preset, x)
        over, pin = on_top(preset, [(x, y), (x, y + PIN_BEHIND_MM)], back=True)
        starts.append((over[0] + (front - 12 - over[1]) * aslant, front - 12))
        drawn.line("strings", starts[-1], over)
        if bridge.hold == "pins":
            holes.append(pin)
            drawn.circle("hole", pin, PIN_MM / 2)
            drawn.mark(pin)
    middle = saddle_y(preset)
    drawn.line(
        "centre line",
        *((aslant * (y - middle), y) for y in (front - 14, back + 6)),
    )
    drawn.across((-half, back), (half, back), back + 12)
    drawn.across(starts[0], starts[-1], front - 16)
    drawn.down((half, front), (half, back), half + 8)
    drawn.down((ends[1][0], front), ends[1], half + 15)
    drawn.down((ends[0][0], front), ends[0], -half - 8)
    to_bass, to_treble = outer_saddle_mm(preset)
    on_centre = millimetres(front_on_centre_y(preset) - preset.nut_y)
    notes = [
        f"Front edge {on_centre} from the nut along the centre line.",
        f"Nut to saddle: {millimetres(to_bass)} under the first string, "
        f"{millimetres(to_treble)} under the last, compensation included.",
        f"Saddle slot {millimetres(SADDLE_MM)} wide (common practice, no source).",
    ]
    if preset.fan_mm:
        nearer = millimetres(bridge.width_mm * math.sin(-bridge_turn(preset)))
        notes.append(f"On the top its treble end is {nearer} nearer to the nut than its bass end.")
    if bridge.hold == "pins":
        pitch = (holes[-1][0] - holes[0][0]) / (preset.strings - 1)
        notes.append(
            f"Pin holes {millimetres(PIN_MM)} across, {millimetres(PIN_BEHIND_MM)} behind the "
            f"saddle (common practice, no source), {millimetres(pitch)} apart."
        )
    under = drawn.notes((-half, back + 20), notes)
    bridge_table(drawn, preset, (-half, under + 4))
    return drawn.plan("Bridge", block)


def _strings(drawn: Draughting, preset: Preset) -> None:
    """The strings from the nut to the end of the board, each on its way to the saddle."""
    board = preset.fretboard
    leaning, end = lean(preset, 0), lean(preset, board.frets)
    for start, x in zip(
        string_places(preset, preset.nut_spread_mm),
        string_places(preset, preset.bridge.spread_mm),
        strict=True,
    ):
        nut = (start, leaning * start)
        across, along = x - start, board.scale_mm + lean(preset, math.inf) * x - nut[1]
        share = (board.length_mm + end * start - nut[1]) / (along - end * across)
        drawn.line("strings", nut, (start + across * share, nut[1] + along * share))


def _section(drawn: Draughting, preset: Preset, place: float, said: str, at: Point) -> None:
    """The board cut across at a distance from the nut, its top rounded to the radius there.

    at : the middle of its top.
    """
    board = preset.fretboard
    half, radius = board.width_mm(place) / 2, board.radius_at_mm(place)
    x, y = at
    low = y + BOARD_THICK_MM
    turn = math.asin(half / radius) if radius else 0.0
    top = (
        arc((x, y + radius), radius, -math.pi / 2 - turn, -math.pi / 2 + turn)
        if radius
        else [(x - half, y), (x + half, y)]
    )
    drawn.outline("reference", [*top, (x + half, low), (x - half, low)])
    round_to = f", radius {millimetres(radius)}" if radius else ", flat"
    drawn.words((x, low + 5), said + round_to, anchor="middle")


def _side_dots(drawn: Draughting, preset: Preset) -> None:
    """Where the side dots go, beside the bass edge, half-way between their frets."""
    for fret in (one for one in DOTTED if one <= preset.frets):
        (x, y), (x_2, y_2) = (fret_ends(preset, one)[0] for one in (fret - 1, fret))
        apart = (0.25, 0.75) if fret in TWICE else (0.5,)
        for share in apart:
            at = (x + (x_2 - x) * share - DOT_OFF_MM, y + (y_2 - y) * share)
            drawn.circle("reference", at, DOT_MM / 2)


def _scales(preset: Preset) -> str:
    if not preset.fan_mm:
        return millimetres(preset.scale_mm)
    treble = millimetres(preset.scale_mm - preset.fan_mm)
    return f"{millimetres(preset.scale_mm)} at the bass, {treble} at the treble"


def _rings(
    drawn: Draughting, layer: Layer, middle: Point, radii: Sequence[float], half: bool
) -> None:
    for radius in radii:
        if half:
            drawn.line("reference", *arc(middle, radius, -math.pi / 2, math.pi / 2, steps=180))
        else:
            drawn.circle(layer, middle, radius)


def _right(run: Sequence[Point]) -> list[Point]:
    """The right half of an outline, from the centre line and back to it."""
    inside = [i for i, (x, _) in enumerate(run) if x > 0]
    first, last = inside[0], inside[-1]
    beyond = run[(last + 1) % len(run)]
    return [
        _on_centre(run[first - 1], run[first]),
        *(run[i] for i in inside),
        _on_centre(run[last], beyond),
    ]


def _on_centre(one: Point, other: Point) -> Point:
    """Where the line through two points meets the centre line."""
    (x, y), (x_2, y_2) = one, other
    return 0.0, y + (y_2 - y) * x / (x - x_2)
