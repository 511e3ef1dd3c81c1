"""The sheets of side and back: what they are cut to and joined by, with the ledges round them.

What the instrument's numbers leave open is drawn at a usual size: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from brief.instrument.curve import Point
from brief.instrument.drawing.back import HEEL_CAP_MM, HEEL_HALF_MM
from brief.instrument.drawing.side import BINDING_MM, BOARD_MM, HEEL_LONG_MM, depth_at, neck_thick
from brief.instrument.outline.bouts import bouts
from brief.instrument.outline.outlines import body_outline, side_lengths_mm, treble_outline
from brief.instrument.plans.draughting import Draughting, millimetres
from brief.instrument.plans.plan import Layer, Plan, TitleBlock
from brief.instrument.presets import Preset

GRAFT_HALF_MM, GRAFT_FOOT_MM, STRIP_MM, CAP_MM = 12.0, 8.0, 6.0, 3.0
PURFLING_DEEP_MM = 1.5
NECK_SHOWN_MM = 110.0  # of the neck beside its heel
SPARE_MM = 20.0  # of a side, at each end
PROFILE_AT = (1, 9)  # frets
NO_SOURCE = "common practice, no source"


def side_sheet(preset: Preset, block: TitleBlock, let_in: Sequence[Sequence[Point]] = ()) -> Plan:
    """The side with heel and end graft, the blanks of the sides rolled out, the neck cut across.

    `let_in` is not shown: nothing is laid into a side.
    """
    drawn = Draughting()
    low = _elevation(drawn, preset)
    low = _rolled_out(drawn, preset, low + 46)
    for i, fret in enumerate(PROFILE_AT):
        with drawn.apart():
            _profile(drawn, preset, fret, (40 + 90.0 * i, low + 10))
    with drawn.apart():
        _graft(drawn, preset, (250.0, low + 10))
    drawn.notes(
        (300.0, low + 10),
        [
            f"Sides {millimetres(preset.side_neck_mm)} deep at the neck and "
            f"{millimetres(preset.side_tail_mm)} at the tail, straight between. Hollow the rims to "
            "your dish.",
            f"Rolled out along the rim of the top from the neck joint, {millimetres(SPARE_MM)} "
            "more at each end to trim. Lines across: joint, bouts, tail.",
            f"Heel, its cap {millimetres(CAP_MM)} thick, end graft and neck: {NO_SOURCE}.",
        ],
    )
    return drawn.plan("Side", block)


def back_sheet(preset: Preset, block: TitleBlock, let_in: Sequence[Sequence[Point]] = ()) -> Plan:
    """The back from outside: its outline, the ledge of the binding, centre strip and heel cap.

    From behind the bass side is at the right. `let_in` is not shown: nothing is laid into a back.
    """
    import shapely

    drawn = Draughting()
    run = [(-x, y) for x, y in body_outline(preset)]
    drawn.outline("cut through", run)
    body = shapely.Polygon(run)
    _ledge(drawn, "reference", body.buffer(-preset.binding_mm, quad_segs=32))
    half = STRIP_MM / 2
    inside = body.buffer(-preset.binding_mm)
    for x in (-half, half):
        line = shapely.LineString([(x, -1.0), (x, preset.body_mm + 1)]).intersection(inside)
        drawn.line("reference", *((float(a), float(b)) for a, b in line.coords))
    cap = HEEL_HALF_MM
    drawn.outline("reference", [(-cap, 0.0), (-cap, -HEEL_CAP_MM), (cap, -HEEL_CAP_MM), (cap, 0.0)])
    drawn.line("centre line", (0.0, -HEEL_CAP_MM - 6), (0.0, preset.body_mm + 6))
    side = preset.width_mm / 2
    for bout in bouts(preset.outline):
        reach = bout.width_mm / 2
        doubt = preset.outline_doubt_mm or 0.0
        drawn.across((-reach, bout.at_mm), (reach, bout.at_mm), bout.at_mm, doubt)
    drawn.across((-cap, -HEEL_CAP_MM), (cap, -HEEL_CAP_MM), -HEEL_CAP_MM - 8)
    drawn.down((0.0, 0.0), (0.0, preset.body_mm), side + 8)
    drawn.notes(
        (-side, preset.body_mm + 14),
        [
            "Seen from behind: the bass side is at the right.",
            f"Ledge for the binding {millimetres(preset.binding_mm)} wide, "
            f"{millimetres(BINDING_MM)} deep down the side ({NO_SOURCE}).",
            f"Centre strip {millimetres(STRIP_MM)} wide, heel cap {millimetres(2 * cap)} wide "
            f"({NO_SOURCE}).",
        ],
    )
    return drawn.plan("Back", block)


def edge_ledges(drawn: Draughting, preset: Preset) -> list[str]:
    """The channel of the purfling on the top, whose outer line is where the binding's ledge ends.

    What to know of them, in sentences.
    """
    import shapely

    body = shapely.Polygon(body_outline(preset))
    inner = preset.binding_mm + preset.purfling_mm
    for off in (preset.binding_mm, inner):
        _ledge(drawn, "channel", body.buffer(-off, quad_segs=32))
    return [
        f"Binding ledge {millimetres(preset.binding_mm)} wide and {millimetres(BINDING_MM)} deep, "
        f"purfling beside it to {millimetres(inner)} from the edge, "
        f"{millimetres(PURFLING_DEEP_MM)} deep; rosette channels as deep ({NO_SOURCE}).",
    ]


def _ledge(drawn: Draughting, layer: Layer, shape: object) -> None:
    for piece in getattr(shape, "geoms", [shape]):
        run = [(float(x), float(y)) for x, y in piece.exterior.coords]
        drawn.outline(layer, run)


def _elevation(drawn: Draughting, preset: Preset) -> float:
    """The side from the treble, the top above and the neck at the left; how far down it reaches."""
    tail, near, deep = preset.body_mm, preset.side_neck_mm, preset.side_tail_mm
    drawn.outline("reference", [(0.0, 0.0), (0.0, near), (tail, deep), (tail, 0.0)])
    drawn.line("reference", (0.0, BINDING_MM), (tail, BINDING_MM))
    drawn.line("reference", (0.0, near - BINDING_MM), (tail, deep - BINDING_MM))
    left = -min(NECK_SHOWN_MM, -preset.nut_y)
    thin, start = neck_thick(preset) * 1.15, -min(HEEL_LONG_MM, -preset.nut_y / 2)
    foot = near - CAP_MM
    bend = ((start, thin), (0.5 * start, thin * 1.05), (0.35 * start, foot / 2))
    heel = [_bezier((*bend, (0.28 * start, foot)), i / 24) for i in range(25)]
    drawn.line("reference", (left, thin), *heel, (0.0, foot))
    end = heel[-1][0]
    drawn.outline("reference", [(end, foot), (end + 2, near), (0.0, near), (0.0, foot)])
    drawn.line("reference", (left, 0.0), (0.0, 0.0))
    board = preset.nut_y + preset.fretboard.length_mm
    drawn.line("reference", (left, -BOARD_MM), (board, -BOARD_MM), (board, 0.0))
    drawn.down((0.0, 0.0), (0.0, near), left - 8)
    drawn.down((tail, 0.0), (tail, deep), tail + 10)
    drawn.across((0.0, near), (tail, deep), deep + 10)
    drawn.across((start, thin), (0.0, near), near + 10)
    return deep + 10


def _graft(drawn: Draughting, preset: Preset, at: Point) -> None:
    """What the two sides meet in at the tail, seen on end; `at` is the middle of its top."""
    (x, y), deep = at, preset.side_tail_mm
    wide, narrow = GRAFT_HALF_MM, GRAFT_FOOT_MM
    corners = [(x - wide, y), (x + wide, y), (x + narrow, y + deep), (x - narrow, y + deep)]
    drawn.outline("reference", corners)
    drawn.words((x, y - 3), "End graft", anchor="middle")
    said = f"{millimetres(2 * wide)} to {millimetres(2 * narrow)} wide, {millimetres(deep)} deep"
    drawn.words((x, y + deep + 6), said, 2.6, anchor="middle")


def _rolled_out(drawn: Draughting, preset: Preset, top: float) -> float:
    """Every side flat, below each other, to be cut before it is bent; where the last ends."""
    runs = side_lengths_mm(preset)
    alike = not preset.cutaway_depth_mm
    halves, left = _rims(preset), 0.0
    for (said, length), rim in zip(runs, halves, strict=True):
        name = "Side, two alike" if alike else f"Side, {said}"
        upper, lower = (left - SPARE_MM, top), (left + length + SPARE_MM, top)
        foot = [(left + s, top + depth_at(preset, y)) for s, y in rim]
        first, last = foot[0], foot[-1]
        drawn.outline(
            "cut through",
            [upper, lower, (lower[0], last[1]), *foot[::-1], (upper[0], first[1])],
        )
        for at in (0.0, length, *_marks(preset, rim)):
            deep = _between(rim, at, preset)
            drawn.line("engrave", (left + at, top), (left + at, top + deep))
        drawn.words((left, top - 3), name, 3.4)
        drawn.across((left, top), (left + length, top), top - 9)
        top += max(preset.side_neck_mm, preset.side_tail_mm) + 34
        if alike:
            break
    return top


def _rims(preset: Preset) -> list[list[Point]]:
    """Each side's way along the rim: how far it is, and the distance from the neck joint there."""
    lengths = [length for _, length in side_lengths_mm(preset)]
    plain = _along(treble_outline(preset, plain=True))
    if not preset.cutaway_depth_mm:
        return [plain, plain]
    cut = _along(treble_outline(preset))
    if len(lengths) == 2:
        return [plain, cut]
    parted = lengths[1]
    before = [one for one in cut if one[0] <= parted + 1e-6]
    after = [(s - parted, y) for s, y in cut if s >= parted - 1e-6]
    return [plain, before, after]


def _along(run: Sequence[Point]) -> list[Point]:
    found, gone = [(0.0, run[0][1])], 0.0
    for one, other in pairwise(run):
        gone += math.dist(one, other)
        found.append((gone, other[1]))
    return found


def _marks(preset: Preset, rim: Sequence[Point]) -> list[float]:
    """How far along a rim the bouts are that it passes on its way to the tail."""
    found = []
    for bout in bouts(preset.outline):
        for (s, y), (s_2, y_2) in pairwise(rim):
            if y <= bout.at_mm < y_2:
                found.append(s + (s_2 - s) * (bout.at_mm - y) / (y_2 - y))
                break
    return found


def _between(rim: Sequence[Point], at: float, preset: Preset) -> float:
    for (s, y), (s_2, y_2) in pairwise(rim):
        if s <= at <= s_2 and s_2 > s:
            return depth_at(preset, y + (y_2 - y) * (at - s) / (s_2 - s))
    return depth_at(preset, rim[-1][1])


def _profile(drawn: Draughting, preset: Preset, fret: int, at: Point) -> None:
    """The neck cut across under a fret: half an ellipse under the board's width."""
    place = preset.fretboard.fret_mm(fret)
    half = preset.fretboard.width_mm(place) / 2
    share = min(1.0, place / -preset.nut_y)
    thick = neck_thick(preset) * (1 + 0.15 * share)
    x, y = at
    round_ = [
        (x + half * math.cos(math.pi * i / 64), y + thick * math.sin(math.pi * i / 64))
        for i in range(65)
    ]
    drawn.outline("reference", round_)
    drawn.outline(
        "reference",
        [(x - half, y - BOARD_MM), (x + half, y - BOARD_MM), (x + half, y), (x - half, y)],
    )
    drawn.words((x, y - BOARD_MM - 3), f"Neck at fret {fret}", anchor="middle")
    said = f"{millimetres(2 * half)} wide, {millimetres(thick + BOARD_MM)} thick with its board"
    drawn.words((x, y + thick + 6), said, 2.6, anchor="middle")


def _bezier(points: Sequence[Point], t: float) -> Point:
    u = 1 - t
    weights = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    return (
        sum(w * x for w, (x, _) in zip(weights, points, strict=True)),
        sum(w * y for w, (_, y) in zip(weights, points, strict=True)),
    )
