"""The drawing of an instrument: its numbers, the frets that follow, and sheets to measure from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from typing import Any, Literal

from brief.instrument import Preset
from brief.instrument.cutlist import cut_list
from brief.instrument.fretboard import RULE_18
from brief.instrument.plan import Plan, TitleBlock
from brief.instrument.plan_dxf import as_dxf
from brief.instrument.plan_pdf import as_pdf, lost_letters
from brief.instrument.plan_sheets import body_sheet, bridge_sheet, fretboard_sheet, head_sheet
from brief.instrument.plan_svg import as_svg
from brief.instrument.plan_tiles import Paper
from brief.instrument.spacing import EDGE_MM, edge_margins
from brief.services.numbers import instrument_of, numbers_view
from brief.services.revisions import revision_words
from brief.services.shown import day
from brief.store.desk import Desk
from brief.store.records import Brief

SheetName = Literal["fretboard", "body", "half-body", "head", "bridge"]
Form = Literal["svg", "pdf", "dxf"]
SHEETS: dict[SheetName, tuple[str, Callable[[Preset, TitleBlock], Plan]]] = {
    "fretboard": ("Fretboard", fretboard_sheet),
    "body": ("Body", body_sheet),
    "half-body": ("Half the body", partial(body_sheet, half=True)),
    "head": ("Head", head_sheet),
    "bridge": ("Bridge", bridge_sheet),
}
MEDIA: dict[Form, str] = {
    "svg": "image/svg+xml",
    "pdf": "application/pdf",
    "dxf": "image/vnd.dxf",
}
PAPERS: dict[Paper, str] = {"A4": "A4", "Letter": "Letter", "sheet": "one large sheet"}


@dataclass(frozen=True)
class Drawn:
    """One sheet as a file."""

    name: str
    media_type: str
    data: bytes


def plan_of(desk: Desk, brief: Brief, sheet: SheetName) -> Plan:
    """One sheet of the brief's instrument, in true millimetres."""
    block = TitleBlock(brief.title, revision_words(desk, brief), day(brief.changed_utc))
    return SHEETS[sheet][1](instrument_of(brief), block)


def draw(desk: Desk, brief: Brief, sheet: SheetName, form: Form, paper: Paper = "A4") -> Drawn:
    """One sheet as SVG, as DXF, or as PDF tiled on that paper."""
    plan = plan_of(desk, brief, sheet)
    match form:
        case "svg":
            data = as_svg(plan).encode()
        case "dxf":
            data = as_dxf(plan).encode()
        case "pdf":
            data = as_pdf(plan, paper)
    tiled = f"-{paper}" if form == "pdf" else ""
    return Drawn(f"{sheet}{tiled}.{form}", MEDIA[form], data)


def drawing(desk: Desk, brief: Brief) -> dict[str, Any]:
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
        "plans": [(name, title) for name, (title, _) in SHEETS.items()],
        "papers": PAPERS.items(),
        "lost": lost_letters(plan_of(desk, brief, "bridge")),
        "cuts": cut_list(made),
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
