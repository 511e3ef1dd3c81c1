"""How the frets, the nut and the saddle of an instrument lie: straight across, or fanned out.

Distances run from the nut along the centre line, which is divided by the mean of the two scales;
a fret leans about its place there. With frets that do not fan nothing leans.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.instrument.curve import Point
from brief.instrument.frets.multiscale import Fan
from brief.instrument.frets.string_spacing import string_places
from brief.instrument.presets import Preset


@dataclass(frozen=True)
class FannedRow:
    """The measures of one fret: `bass_mm` and `treble_mm` along the board's edges from the nut.

    `slot_mm` is the length of its slot, from edge to edge.
    """

    fret: int
    bass_mm: float
    treble_mm: float
    slot_mm: float


def fan_of(preset: Preset) -> Fan | None:
    """The two scales; None where the frets are straight."""
    if not preset.fan_mm:
        return None
    return Fan(preset.scale_mm, preset.scale_mm - preset.fan_mm, preset.square_fret)


def lean(preset: Preset, fret: float) -> float:
    """How much farther from the nut a fret is for each millimetre to the treble.

    Fret 0 is the nut, infinity the saddle.
    """
    fan = fan_of(preset)
    if fan is None:
        return 0.0
    # Each string is divided by its own scale, so that at a fret the outer ones lie as far out.
    share = 1 - 2 ** (-fret / 12)
    spread = preset.nut_spread_mm + (preset.bridge.spread_mm - preset.nut_spread_mm) * share
    places = string_places(preset, spread)
    bass, treble = fan.fret_mm(fret)
    return (treble - bass) / (places[-1] - places[0])


def fret_ends(preset: Preset, fret: int) -> tuple[Point, Point]:
    """Where a fret ends at the bass edge of the board and at its treble edge."""
    return _line_ends(preset, preset.fretboard.fret_mm(fret), lean(preset, fret))


def fret_drawn(preset: Preset, fret: int) -> tuple[Point, Point]:
    """The same on the drawing, whose y runs down from the neck joint."""
    (x, y), (x_2, y_2) = fret_ends(preset, fret)
    return (x, preset.nut_y + y), (x_2, preset.nut_y + y_2)


def board_drawn(preset: Preset) -> list[Point]:
    """The corners of the board on the drawing, in order round it."""
    return [(x, preset.nut_y + y) for x, y in board_corners(preset)]


def turn_deg(preset: Preset, fret: float) -> float:
    """By how much a fret is turned, clockwise as seen."""
    return math.degrees(math.atan(lean(preset, fret)))


def board_corners(preset: Preset) -> tuple[Point, Point, Point, Point]:
    """Of the board: the nut at the bass and at the treble, its end at the treble and at the bass.

    Its end lies as its last fret does: common practice, no source.
    """
    board = preset.fretboard
    bass, treble = _line_ends(preset, board.length_mm, lean(preset, board.frets))
    return *fret_ends(preset, 0), treble, bass


def fanned_table(preset: Preset) -> tuple[FannedRow, ...]:
    """One row for each fret from the 1st to the last."""
    nut_bass, nut_treble = fret_ends(preset, 0)
    rows = []
    for fret in range(1, preset.frets + 1):
        bass, treble = fret_ends(preset, fret)
        rows.append(
            FannedRow(
                fret,
                math.dist(nut_bass, bass),
                math.dist(nut_treble, treble),
                math.dist(bass, treble),
            )
        )
    return tuple(rows)


def _line_ends(preset: Preset, place: float, leaning: float) -> tuple[Point, Point]:
    """Where a line through a place on the centre line meets the straight edges of the board."""
    board = preset.fretboard
    half = board.width_mm(place) / 2
    if not leaning:
        return (-half, place), (half, place)
    opens = (board.width_mm(place + 1) - board.width_mm(place)) / 2  # for each mm along the board
    bass, treble = (side * half / (1 - side * opens * leaning) for side in (-1, 1))
    return (bass, place + leaning * bass), (treble, place + leaning * treble)
