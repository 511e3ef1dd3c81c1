"""The drawing of an instrument: its numbers, and the frets that follow from them."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from brief.instrument.fretboard import RULE_18
from brief.instrument.spacing import EDGE_MM, edge_margins
from brief.services.numbers import instrument_of, numbers_view
from brief.store.records import Brief


def drawing(brief: Brief) -> dict[str, Any]:
    """What the Drawing sheet shows."""
    made = instrument_of(brief)
    board = made.fretboard
    margins = {row.fret: min(row.bass_mm, row.treble_mm) for row in edge_margins(made)}
    near = [row.fret for row in edge_margins(made) if row.near]
    view = numbers_view(brief).numbers
    return {
        "numbers": [
            (part, list(those))
            for part, those in groupby(
                sorted(view, key=lambda one: PARTS.index(one.part)), key=lambda one: one.part
            )
        ],
        "frets": board.fret_table(),
        "wire_mm": board.wire_mm(),
        "margins": margins,
        "by_rule": {
            fret: board.fret_by_rule_mm(fret, RULE_18) - board.fret_mm(fret)
            for fret in range(1, board.frets + 1)
        },
        "warnings": [
            f"An outer string comes within {EDGE_MM:g} mm of the edge of the board from fret "
            f"{near[0]} on; it may slip off when it is bent."
        ]
        if near
        else [],
    }


PARTS = ("fretboard", "head", "body", "rosette", "bridge")


def bench(brief: Brief) -> dict[str, Any]:
    """The frets in big digits."""
    made = instrument_of(brief)
    return {"brief": brief, "frets": made.fretboard.fret_table(), "scale_mm": made.scale_mm}
