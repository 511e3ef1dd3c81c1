"""An instrument in numbers: sizes, weights and frets, for the Drawing sheet and the bench."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from brief.instrument import Preset
from brief.instrument.frets.fret_lines import FannedRow, fanned_table
from brief.instrument.frets.fretboard import RULE_18, FretRow
from brief.instrument.frets.string_spacing import EDGE_MM, edge_margins
from brief.instrument.model.cut_list import Cut, cut_list
from brief.instrument.plans.files.pdf import lost_letters
from brief.instrument.plans.files.tiles import Paper
from brief.services.common.formatting import plain
from brief.services.common.typed_numbers import as_said
from brief.services.drawing.plans import (
    PAPERS,
    DrawingsView,
    SheetName,
    drawings_view,
    plan_of,
    records_of,
    sheets_of,
)
from brief.services.history.revisions import last_revision, revision_words
from brief.services.instrument.dimensions import (
    NumberView,
    instrument_of,
    numbers_view,
    typed_numbers,
)
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class Weights:
    """What the parts weigh together, as far as it is known, and which are left out of that."""

    finished_g: float
    blank_g: float
    unweighed: Sequence[str]
    by_hand: Sequence[str]


@dataclass(frozen=True)
class Frets:
    """The frets; `fanned` has their places along both edges of the board where they fan."""

    frets: Sequence[FretRow]
    fanned: Sequence[FannedRow]
    wire_mm: float
    scale_mm: float
    treble_scale_mm: float
    square_fret: float | None


@dataclass(frozen=True)
class Drawing:
    """The instrument in numbers. numbers : by the part that they are of. plans : name, title and
    version of each sheet to measure from; machine : what to heed where one cuts from them.
    lost : letters of the brief that no font of a PDF has. bass_scale : in words. margins, by_rule :
    by fret, mm from an outer string to the edge, and by which the rule of 18 misses.
    """

    numbers: Sequence[tuple[str, Sequence[NumberView]]]
    plans: Sequence[tuple[SheetName, str, int]]
    machine: DrawingsView
    papers: Sequence[tuple[Paper, str]]
    lost: str
    weights: Weights
    bass_scale: str
    margins: Mapping[int, float]
    by_rule: Mapping[int, float]
    warnings: Sequence[str]


@dataclass(frozen=True)
class FretsAtBench:
    """Which frets they are. scale : in words; revision : as a drawing says it, empty before the
    first.
    """

    scale: str
    revision: str


def drawing(desk: Desk, brief: Brief, densities: Mapping[str, float]) -> tuple[Drawing, Frets]:
    """What the Drawing sheet shows. densities : kg/m³ by role, where they are known."""
    made = instrument_of(brief)
    board = made.fretboard
    margins = {row.fret: min(row.bass_mm, row.treble_mm) for row in edge_margins(made)}
    near = [row.fret for row in edge_margins(made) if row.near]
    view = numbers_view(brief).numbers
    cuts = cut_list(made, densities=densities)
    found = Drawing(
        numbers=[
            (part, list(those))
            for part, those in groupby(
                sorted(view, key=lambda one: PARTS.index(one.part)), key=lambda one: one.part
            )
        ],
        plans=[
            (name, title, sum(one.version for one in records_of(desk, brief, name)))
            for name, title in sheets_of(desk, brief)
        ],
        machine=drawings_view(desk, brief),
        papers=[*PAPERS.items()],
        lost=lost_letters(plan_of(desk, brief, "bridge")),
        weights=_weights(made, cuts),
        bass_scale=_bass_scale(brief, made),
        margins=margins,
        by_rule={
            fret: board.fret_by_rule_mm(fret, RULE_18) - board.fret_mm(fret)
            for fret in range(1, board.frets + 1)
        },
        warnings=[
            f"An outer string comes within {EDGE_MM:g} mm of the edge of the fretboard from fret "
            f"{near[0]} up; it may slip off when bent."
        ]
        if near
        else [],
    )
    return found, _frets(made)


def _weights(made: Preset, cuts: Sequence[Cut]) -> Weights:
    unweighed = dict.fromkeys(cut.role for cut in cuts if cut.blank_g is None)
    return Weights(
        finished_g=sum(cut.weight_g or 0.0 for cut in cuts),
        blank_g=sum(cut.blank_g or 0.0 for cut in cuts),
        unweighed=[made.part(role).name for role in unweighed],
        by_hand=[cut.name for cut in cuts if cut.blank_g is not None and cut.weight_g is None],
    )


PARTS = ("fretboard", "head", "body", "rosette", "bridge")


def bench(desk: Desk, brief: Brief) -> tuple[FretsAtBench, Frets]:
    """The frets, for big digits."""
    made = instrument_of(brief)
    scale = _bass_scale(brief, made)
    if made.fan_mm:
        scale += f" to {plain(made.scale_mm - made.fan_mm)}\u00a0mm"
    known = last_revision(desk, brief.id) is not None
    revision = revision_words(desk, brief) if known else ""
    return FretsAtBench(scale, revision), _frets(made)


def _bass_scale(brief: Brief, made: Preset) -> str:
    """The scale length in words, that of the bass where there are two."""
    return as_said(typed_numbers(brief, made).get("scale_mm"), plain(made.scale_mm), "mm")


def _frets(made: Preset) -> Frets:
    rows = made.fretboard.fret_table()
    fanned = fanned_table(made) if made.fan_mm else ()
    longer = sum(one.slot_mm - row.width_mm for one, row in zip(fanned, rows, strict=False))
    return Frets(
        frets=rows,
        fanned=fanned,
        wire_mm=made.fretboard.wire_mm() + longer,
        scale_mm=made.scale_mm,
        treble_scale_mm=made.scale_mm - made.fan_mm,
        square_fret=made.square_fret,
    )
