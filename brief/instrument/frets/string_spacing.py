"""Where the strings lie across the board, from the nut to the saddle.

Places are millimetres from the centre line, bass negative. A spread is measured from the middle
of the outermost course to that of the other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from brief.errors import InputError, quoted
from brief.instrument.presets import Preset

PAIR_MM = 2.2
"""Between the two strings of a course: common practice, no source."""
EDGE_MM = 2.0
"""A string nearer to the edge than this slips off it when pulled: common practice, no source."""


@dataclass(frozen=True)
class EdgeRow:
    """How far the middle of the outer strings is from the edges of the board, mm, at one fret.

    Fret 0 is the nut. `near` says that one of them is nearer than the limit.
    """

    fret: int
    bass_mm: float
    treble_mm: float
    near: bool


def equal_centres(spread_mm: float, count: int) -> tuple[float, ...]:
    """Strings whose middles are evenly apart.

    Parameters
    ----------
    spread_mm : float, above 0
        From the middle of the first to that of the last.
    count : int, 2 or more

    Returns
    -------
    tuple of float
        Their middles, mm from the centre line.

    Raises
    ------
    InputError
        For fewer than 2 strings or a spread that is not above 0.
    """
    _check(spread_mm, count)
    return tuple(spread_mm * (i / (count - 1) - 0.5) for i in range(count))


def equal_gaps(spread_mm: float, gauges_mm: Sequence[float]) -> tuple[float, ...]:
    """Strings with equal gaps of air between them, so that thick ones do not crowd.

    Parameters
    ----------
    spread_mm : float, above 0
        From the middle of the first to that of the last.
    gauges_mm : sequence of 2 or more floats
        Diameters in the order of the strings, bass to treble.

    Returns
    -------
    tuple of float
        Their middles, mm from the centre line.

    Raises
    ------
    InputError
        For fewer than 2 strings, a spread that is not above 0 and one that the strings fill.

    Notes
    -----
    The gap is (over-all width - sum of diameters) / (strings - 1): common practice, no source.
    """
    _check(spread_mm, len(gauges_mm))
    between = [(a + b) / 2 for a, b in pairwise(gauges_mm)]
    gap = (spread_mm - sum(between)) / len(between)
    if not gap > 0:
        raise InputError.at(
            "spread_mm",
            f"these strings are {sum(between):.1f} mm wide from the middle of the first to that "
            f"of the last; a spread of {quoted(spread_mm)} mm leaves no gap. Give a wider spread.",
        )
    places = [-spread_mm / 2]
    for each in between:
        places.append(places[-1] + each + gap)
    return tuple(places)


def string_places(preset: Preset, spread_mm: float) -> tuple[float, ...]:
    """Every string of an instrument across a spread, bass to treble; courses evenly apart."""
    each = preset.strings // preset.courses
    return tuple(
        middle + PAIR_MM * (string - (each - 1) / 2)
        for middle in equal_centres(spread_mm, preset.courses)
        for string in range(each)
    )


def outer_strings(preset: Preset, distance_mm: float) -> tuple[float, float]:
    """Places of the first and the last string at a distance from the nut."""
    share = distance_mm / preset.fretboard.scale_mm
    spread = preset.nut_spread_mm + (preset.bridge.spread_mm - preset.nut_spread_mm) * share
    places = string_places(preset, spread)
    return places[0], places[-1]


def edge_margins(preset: Preset, limit_mm: float = EDGE_MM) -> tuple[EdgeRow, ...]:
    """How near the outer strings come to the edges, at the nut and at every fret."""
    board = preset.fretboard
    rows = []
    for fret in range(preset.frets + 1):
        place = board.fret_mm(fret)
        half, (bass, treble) = board.width_mm(place) / 2, outer_strings(preset, place)
        margins = half + bass, half - treble
        rows.append(EdgeRow(fret, *margins, near=min(margins) < limit_mm))
    return tuple(rows)


def _check(spread_mm: float, count: int) -> None:
    if count < 2:
        raise InputError.at("strings", f"a spread needs at least 2 strings; got {count}.")
    if not (math.isfinite(spread_mm) and spread_mm > 0):
        raise InputError.at(
            "spread_mm", f"a spread must be above 0 mm; got {quoted(spread_mm)}. Give it in mm."
        )
