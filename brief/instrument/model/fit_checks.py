"""Whether the sizes of an instrument fit each other: strings on the board, parts on the body."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

from brief.errors import FieldFault, InputError
from brief.instrument.curve import Point
from brief.instrument.frets.fret_lines import fret_ends, lean
from brief.instrument.frets.string_spacing import outer_strings
from brief.instrument.model.contacts import SADDLE_MM
from brief.instrument.outline.outlines import (
    CORNER_MM,
    SADDLE_BEYOND_MM,
    SADDLE_SHARE,
    SWELL_MM,
    body_outline,
    body_segments,
    bridge_outline,
)
from brief.instrument.presets import Preset

# What is least here is our working figure, where no source is named.
LEAST_EDGE_MM = 1.0  # a string's middle from the edge of the board: less cannot be fretted
LEAST_HEAD_MM = 4.0  # across: how much wider than the nut a head must be at its widest
LEAST_GAP_MM = 4.0  # along an edge of the board, from slot to slot
MOST_LEAN = 0.5  # of the nut: more is no nut that strings lie quietly in; our working figure
LEAST_WALL_MM = 1.0  # of bridge before and behind the saddle's slot; our working figure
CLEAR_MM = 2.0  # of bare top between two things that are laid into it or glued on


def check_fits(preset: Preset, changed: Iterable[str]) -> None:
    """Refuse numbers that do not fit together.

    Raises
    ------
    InputError
        At the first of the `changed` numbers that the misfit depends on.
    """
    names = list(changed)
    for check in (_board, _fan, _strings, _head, _cutaway, _lengthwise, _hole, _bridge):
        check(preset, names)


def _fault(names: list[str], fields: tuple[str, ...], message: str) -> InputError:
    """At whichever of the fields was changed, the first of them if it was none."""
    return InputError.at(next((field for field in fields if field in names), fields[0]), message)


def _board(preset: Preset, names: list[str]) -> None:
    if preset.nut_mm >= preset.twelfth_mm:
        raise _fault(
            names,
            ("nut_mm", "twelfth_mm"),
            f"a fretboard is narrower at the nut than at the 12th fret; got {preset.nut_mm:g} mm "
            f"at the nut and {preset.twelfth_mm:g} mm at the 12th. Change one of them.",
        )
    if preset.frets_to_body > preset.frets:
        raise _fault(
            names,
            ("frets_to_body", "frets"),
            f"the neck joins at fret {preset.frets_to_body}, but there are only "
            f"{preset.frets} frets. Give more frets or join at a lower one.",
        )
    past = preset.nut_y + preset.fretboard.length_mm - preset.hole.centre_mm
    if past > 0:
        raise _fault(
            names,
            ("frets", "beyond_mm", "frets_to_body", "scale_mm", "hole_at_mm"),
            f"the fretboard would end {past:.0f} mm past the centre of the soundhole. Give fewer "
            "frets, join the body at a higher one, or move the hole.",
        )


def _fan(preset: Preset, names: list[str]) -> None:
    """Frets that fan must not meet on the board, and leave the head its shape."""
    if not preset.fan_mm:
        return
    ends = [fret_ends(preset, fret) for fret in range(preset.frets + 1)]
    closest = min(
        after[side][1] - before[side][1] for before, after in pairwise(ends) for side in (0, 1)
    )
    if closest < LEAST_GAP_MM or abs(lean(preset, 0)) > MOST_LEAN:
        raise _fault(
            names,
            ("fan_mm", "square_fret", "frets"),
            f"frets that fan from {preset.scale_mm:g} to {preset.scale_mm - preset.fan_mm:g} mm "
            f"with fret {preset.square_fret} square would lean too far, or come within "
            f"{LEAST_GAP_MM:g} mm of each other. Bring the scales closer together, or choose "
            "another square fret.",
        )


def _strings(preset: Preset, names: list[str]) -> None:
    board, fields = preset.fretboard, ("nut_spread_mm", "nut_mm", "saddle_spread_mm", "twelfth_mm")
    for place, said in ((0.0, "at the nut"), (board.length_mm, "at the end of the fretboard")):
        width, (bass, treble) = board.width_mm(place), outer_strings(preset, place)
        if width / 2 - max(-bass, treble) < LEAST_EDGE_MM:
            raise _fault(
                names,
                fields if place == 0 else ("saddle_spread_mm", "twelfth_mm", *fields[:2]),
                f"the strings are {treble - bass:.1f} mm apart {said}, where the fretboard is "
                f"{width:.1f} mm wide; each needs {LEAST_EDGE_MM:g} mm to its edge. Bring the "
                "strings together or widen the fretboard.",
            )


def _head(preset: Preset, names: list[str]) -> None:
    widest = 2 * max(half for _, half in preset.head.outline)
    if widest < preset.nut_mm + LEAST_HEAD_MM:
        raise _fault(
            names,
            ("head_width_mm", "nut_mm"),
            f"the headstock must be at least {LEAST_HEAD_MM:g} mm wider than the nut of "
            f"{preset.nut_mm:g} mm; got {widest:g} mm. Widen the headstock or narrow the nut.",
        )


def _cutaway(preset: Preset, names: list[str]) -> None:
    try:
        body_segments(preset)
    except InputError as exc:
        if names and not any(fault.pointer[1:] in names for fault in exc.faults):
            exc.faults = (FieldFault(f"/{names[0]}", str(exc)),)
        raise


def _lengthwise(preset: Preset, names: list[str]) -> None:
    """Rosette, bridge and tail follow on each other down the body."""
    reach = max(outer for _, outer in preset.hole.rosette_mm)
    across = [y for _, y in bridge_outline(preset)]
    front, back = min(across), max(across)
    fields = ("scale_mm", "frets_to_body", "bridge_depth_mm", "hole_at_mm", "hole_mm", "body_mm")
    rosette = preset.hole.centre_mm + reach
    if front < rosette + CLEAR_MM:
        raise _fault(
            names,
            (*fields, "rosette_mm", "rosette_gap_mm"),
            f"the bridge would begin {front:.0f} mm from the neck, but the rosette reaches to "
            f"{rosette:.0f} mm. Move the hole, or change the scale or the fret where the "
            "neck joins.",
        )
    if back > preset.body_mm - CLEAR_MM:
        raise _fault(
            names,
            fields,
            f"the bridge would end {back:.0f} mm from the neck, but the body is only "
            f"{preset.body_mm:.0f} mm long. Change the scale, the fret where the neck joins, or "
            "the body length.",
        )


def _hole(preset: Preset, names: list[str]) -> None:
    edge = preset.binding_mm + preset.purfling_mm
    reach = max(outer for _, outer in preset.hole.rosette_mm) + CLEAR_MM
    room = _clearance(body_outline(preset), (0.0, preset.hole.centre_mm)) - edge
    if room < reach:
        raise _fault(
            names,
            ("hole_at_mm", "hole_mm", "rosette_mm", "rosette_gap_mm", "waist_mm", "upper_mm"),
            f"soundhole and rosette reach {reach - CLEAR_MM:.0f} mm from their centre, but there "
            f"are only {max(0.0, room):.0f} mm to the edge of the top. Make them smaller or move "
            "the hole.",
        )


def _bridge(preset: Preset, names: list[str]) -> None:
    bridge, outline = preset.bridge, body_outline(preset)
    edge = preset.binding_mm + preset.purfling_mm
    room = min(_half_at(outline, y) - edge - abs(x) for x, y in bridge_outline(preset))
    if room < CLEAR_MM:
        raise _fault(
            names,
            ("bridge_width_mm", "scale_mm", "lower_mm", "waist_mm"),
            f"the bridge of {bridge.width_mm:g} mm would reach over the edge of the top. Make it "
            "narrower, or the body wider there.",
        )
    least = SWELL_MM + CORNER_MM + LEAST_WALL_MM
    if bridge.shape == "belly" and bridge.depth_mm < least:
        raise _fault(
            names,
            ("bridge_depth_mm",),
            f"a belly bridge must be at least {least:g} mm deep; got "
            f"{bridge.depth_mm:g} mm. Make it deeper.",
        )
    # The slot turns about its middle with what compensates the strings.
    slope = abs(bridge.bass_mm - bridge.treble_mm) / bridge.spread_mm
    turn = slope * (bridge.spread_mm / 2 + SADDLE_BEYOND_MM) + SADDLE_MM / 2 + LEAST_WALL_MM
    before = bridge.depth_mm * SADDLE_SHARE
    if turn > min(before, bridge.depth_mm - before):
        raise _fault(
            names,
            ("bridge_depth_mm", "saddle_bass_mm", "saddle_treble_mm"),
            f"compensation of {bridge.bass_mm:g} mm at the bass and {bridge.treble_mm:g} mm at the "
            f"treble would take the saddle through the edge of a bridge {bridge.depth_mm:g} mm "
            "deep. Make it deeper, or the saddle straighter.",
        )
    if bridge.spread_mm > bridge.width_mm - 10:
        raise _fault(
            names,
            ("saddle_spread_mm", "bridge_width_mm"),
            f"the strings are {bridge.spread_mm:g} mm apart at the saddle, which leaves less than "
            f"5 mm to the ends of a bridge of {bridge.width_mm:g} mm. Bring them together or "
            "widen the bridge.",
        )


def _clearance(outline: list[Point], middle: Point) -> float:
    """From a point on the centre line to the nearest point of the outline."""
    return min(math.dist(middle, point) for point in outline)


def _half_at(outline: list[Point], y: float) -> float:
    """Half the body's width at a distance from the neck joint."""
    for (x_1, y_1), (x_2, y_2) in pairwise(outline):
        if x_1 >= 0 and x_2 >= 0 and y_1 <= y <= y_2 and y_2 > y_1:
            return x_1 + (x_2 - x_1) * (y - y_1) / (y_2 - y_1)
    return 0.0
