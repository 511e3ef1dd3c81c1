"""An instrument with an outline of the maker's own in place of its kind's."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from brief.errors import InputError
from brief.instrument.model.fit_checks import check_fits
from brief.instrument.outline.bouts import NAMES, carried
from brief.instrument.presets import Preset, Stations

FEWEST, MOST = 5, 200
LEAST_MM, MOST_MM = 100.0, 1200.0  # of a body, from neck to tail; our working figure


@lru_cache(maxsize=64)
def with_outline(preset: Preset, outline: Stations, doubt_mm: float | None = 0.0) -> Preset:
    """The preset with that outline, its soundhole moved along between the bouts.

    `doubt_mm` is what its widths may be off by, where it was traced from a photograph; None where
    that is not known.
    `outline` has passed `check_outline`, which also says whether the rest still fits.
    """
    centre = carried(preset.hole.centre_mm, preset.outline, outline)
    hole = replace(preset.hole, centre_mm=centre)
    return replace(preset, outline=outline, hole=hole, outline_doubt_mm=doubt_mm)


def check_outline(preset: Preset, outline: Stations) -> None:
    """Refuse stations that are no outline of a body, or do not fit the instrument.

    Raises
    ------
    InputError
        With the rule that was broken: how many stations, where they begin and end, their order,
        length, and the run from upper bout to waist to lower bout.
    """
    if not FEWEST <= len(outline) <= MOST:
        raise InputError(f"an outline has {FEWEST} to {MOST} stations; got {len(outline)}.")
    if not all(math.isfinite(value) for station in outline for value in station):
        raise InputError("a station is two numbers: from the neck joint, and half the width there.")
    if outline[0] != (0.0, 0.0) or outline[-1][1] != 0.0:
        raise InputError(
            "an outline begins with [0, 0] at the neck joint and ends at the tail with a width of "
            f"0; got {list(outline[0])} and {list(outline[-1])}."
        )
    if not LEAST_MM <= outline[-1][0] <= MOST_MM:
        raise InputError(
            f"a body is {LEAST_MM:g} to {MOST_MM:g} mm long; got {outline[-1][0]:g} mm."
        )
    for (at, half), (at_2, half_2) in pairwise(outline):
        if at_2 < at or half < 0 or (at, half) == (at_2, half_2):
            raise InputError(
                f"stations run from the neck joint to the tail; got {[at_2, half_2]} after "
                f"{[at, half]}."
            )
    bends = [
        (half - before) * (after - half)
        for (_, before), (_, half), (_, after) in zip(
            outline, outline[1:], outline[2:], strict=False
        )
    ]
    turns = sum(bend < 0 for bend in bends)
    if turns not in (1, len(NAMES)) or 0 in bends:
        raise InputError(
            "a body grows to an upper bout, narrows to a waist and grows to a lower bout, or has a "
            f"lower bout alone; this outline turns {turns} times, or stays as wide for a stretch."
        )
    check_fits(with_outline(preset, outline), ())
