"""The sheets for inlay and rosette: what to saw and to let in, at true size and in its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from brief.instrument.curve import Point
from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn
from brief.instrument.inlay.places import ground_of, shown_copy
from brief.instrument.inlay.polygons import Shapes, runs_of
from brief.instrument.plans.draughting import Draughting, millimetres
from brief.instrument.plans.inlay_places import place_table
from brief.instrument.plans.plan import Layer, Plan, TitleBlock
from brief.instrument.plans.tables import table
from brief.instrument.presets import Preset

AROUND_MM = 7.0  # of its part that is drawn round an inlay
CROSS_MM = 2.0
BESIDE_MM = 170.0  # of what a page of paper shows
RING_HEADS = ("ring", "from", "to", "width")


@dataclass(frozen=True)
class Sawn:
    """One inlay on the sheet.

    `copies` are in the drawing's places, at least one, of which one is drawn; `notes` are
    sentences below it.
    """

    name: str
    lies_on: LiesOn
    copies: tuple[Shapes, ...]
    notes: tuple[str, ...]


def inlay_sheet(preset: Preset, block: TitleBlock, inlays: Sequence[Sawn]) -> Plan:
    """Every inlay at true size as it lies, frets and edges round it, one below the other."""
    drawn, top = Draughting(), 0.0
    for one in inlays:
        top = _draw_inlay(drawn, preset, one, top)
    return drawn.plan("Inlay", block)


def rosette_sheet(preset: Preset, block: TitleBlock, inlays: Sequence[Sawn] = ()) -> Plan:
    """The soundhole and the rings round it with their radii and widths, and the inlays in them.

    It has the end of the fretboard where it reaches them.
    """
    drawn, hole = Draughting(), preset.hole
    radii = [radius for ring in hole.rosette_mm for radius in ring]
    reach = max(radii)
    drawn.circle("hole", (0.0, 0.0), hole.diameter_mm / 2)
    for radius in radii:
        drawn.circle("channel", (0.0, 0.0), radius)
    drawn.mark((0.0, 0.0))
    drawn.line("centre line", (0.0, -reach - 8), (0.0, reach + 8))
    drawn.line("centre line", (-reach - 8, 0.0), (reach + 8, 0.0))
    *_, treble, bass = ((x, y - hole.centre_mm) for x, y in board_drawn(preset))
    if max(treble[1], bass[1]) > -reach:
        over = -reach - 8
        drawn.line("reference", (bass[0], over), bass, treble, (treble[0], over))
    for one in inlays:
        for copy in one.copies:
            _let_in(drawn, copy, 0.0, -hole.centre_mm)
    half_hole = hole.diameter_mm / 2
    drawn.across((-half_hole, 0.0), (half_hole, 0.0), reach + 14)
    drawn.across((-reach, 0.0), (reach, 0.0), reach + 21)
    rows = [
        (str(i + 1), millimetres(inner), millimetres(outer), millimetres(outer - inner))
        for i, (inner, outer) in enumerate(hole.rosette_mm)
    ]
    table(drawn, RING_HEADS, rows, (reach + 14, -reach), rights=(8.0, 24.0, 40.0, 56.0))
    notes = [
        f"Soundhole diameter {millimetres(hole.diameter_mm)}, centre "
        f"{millimetres(hole.centre_mm)} from the neck joint and "
        f"{millimetres(hole.centre_mm - preset.nut_y)} from the nut.",
        "Radii are from the centre of the hole.",
        *(f"{one.name}: {note}" for one in inlays for note in one.notes[:2]),
    ]
    drawn.notes((-reach, reach + 30), notes)
    return drawn.plan("Rosette", block)


def _draw_inlay(drawn: Draughting, preset: Preset, one: Sawn, top: float) -> float:
    """One inlay below `top`; where the next may begin."""
    import shapely

    copy = shown_copy(one.copies, one.lies_on)
    left, upper, right, lower = copy.bounds
    x, y = AROUND_MM - left, top + AROUND_MM + 8 - upper
    window = shapely.box(left - AROUND_MM, upper - AROUND_MM, right + AROUND_MM, lower + AROUND_MM)
    drawn.words((0.0, top), one.name, 4.0)

    def pencil(layer: Layer, line: Any) -> list[list[Point]]:
        runs = [_moved(run, x, y) for run in _lines(line.intersection(window))]
        for run in runs:
            drawn.line(layer, *run)
        return runs

    pencil("reference", ground_of(preset, one.lies_on).boundary)
    if one.lies_on == "fretboard":
        for fret in range(1, preset.frets + 1):
            for run in pencil("slots", shapely.LineString(fret_drawn(preset, fret))):
                drawn.words((run[-1][0] + 1.5, run[-1][1] + 1), str(fret), 2.8)
    ends = (window.bounds[1], window.bounds[3])
    pencil("centre line", shapely.LineString([(0.0, end) for end in ends]))
    _let_in(drawn, copy, x, y)
    at = ((left + right) / 2 + x, (upper + lower) / 2 + y)
    for step in ((CROSS_MM, 0.0), (0.0, CROSS_MM)):
        drawn.line(
            "dimensions", (at[0] - step[0], at[1] - step[1]), (at[0] + step[0], at[1] + step[1])
        )
    drawn.across((left + x, lower + y), (right + x, lower + y), lower + y + AROUND_MM + 4)
    drawn.down((right + x, upper + y), (right + x, lower + y), right + x + AROUND_MM + 8)
    foot = lower + y + AROUND_MM + 13
    # The piece beside its bed, or below it where a page has no room for both.
    wide = right - left
    if 2 * wide + 6 * AROUND_MM <= BESIDE_MM:
        piece = (wide + 5 * AROUND_MM - left, y)
    else:
        piece = (x, foot + 6 - upper)
        foot = lower + piece[1] + AROUND_MM
    drawn.words((left + piece[0], upper + piece[1] - 3), "The piece", 2.8)
    _saw(drawn, copy, *piece)
    place_table(drawn, preset, one.name, one.lies_on, one.copies)
    return drawn.notes((0.0, foot), one.notes, fixed=True) + 12


def _let_in(drawn: Draughting, shape: Shapes, x: float, y: float) -> None:
    """Where it is let in."""
    for run in runs_of(shape):
        drawn.outline("pocket", _moved(run, x, y))


def _saw(drawn: Draughting, shape: Shapes, x: float, y: float) -> None:
    """The piece itself: its outlines, and what is sawn out of it."""
    for piece in shape.geoms:
        drawn.outline("cut through", _moved(list(piece.exterior.coords), x, y))
        for hole in piece.interiors:
            drawn.outline("hole", _moved(list(hole.coords), x, y))


def _lines(found: Any) -> Iterator[list[Point]]:
    """The lines in what Shapely found, as runs of points."""
    import shapely

    for one in shapely.get_parts(shapely.line_merge(found)):
        if one.geom_type == "LineString" and one.length > 0:
            yield [(float(x), float(y)) for x, y in one.coords]


def _moved(run: Sequence[Point], x: float, y: float) -> list[Point]:
    return [(a + x, b + y) for a, b in run]
