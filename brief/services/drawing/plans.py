"""The drawing of an instrument: its numbers, the frets that follow, and sheets to measure from."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby
from typing import Any, Literal, get_args

from pydantic import BaseModel

from brief.errors import InputError, NotFound
from brief.instrument import Preset
from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.frets.fret_lines import FannedRow, fanned_table
from brief.instrument.frets.fretboard import RULE_18, FretRow
from brief.instrument.frets.string_spacing import EDGE_MM, edge_margins
from brief.instrument.inlay.polygons import runs_of
from brief.instrument.model.cut_list import Cut, cut_list
from brief.instrument.plans.files.dxf import as_dxf
from brief.instrument.plans.files.pdf import as_pdf, lost_letters
from brief.instrument.plans.files.svg import as_small_svg, as_svg
from brief.instrument.plans.files.tiles import Paper
from brief.instrument.plans.inlay_sheets import Sawn, inlay_sheet, rosette_sheet
from brief.instrument.plans.overview import overview_sheet
from brief.instrument.plans.plan import Plan, TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet, head_sheet
from brief.instrument.plans.side_sheets import back_sheet, side_sheet
from brief.instrument.plans.tooled import Tool, in_words, tooled
from brief.services.common.care import Careful, careful, machine_cautions
from brief.services.common.finding import listed
from brief.services.common.formatting import day, plain
from brief.services.common.typed_numbers import as_said
from brief.services.drawing.machine import CUTS_WORDS, AskedOfMachine, Machine, tool_of
from brief.services.history.revisions import last_revision, revision_words
from brief.services.instrument.brief_inlays import all_inlays, copies_of, inlays_of
from brief.services.instrument.dimensions import (
    NumberView,
    instrument_of,
    numbers_view,
    typed_numbers,
)
from brief.services.instrument.inlays.noun import inlays
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part

SURE_MM = 2.0  # a width that may be off by more is not to be built to: our working figure
SheetName = Literal[
    "overview",
    "fretboard",
    "body",
    "half-body",
    "head",
    "bridge",
    "rosette",
    "side",
    "back",
    "inlay",
]
PlanFormat = Literal["svg", "pdf", "dxf"]
SHEETS: dict[SheetName, tuple[str, Callable[..., Plan]]] = {
    "overview": ("Overview", overview_sheet),
    "fretboard": ("Fretboard", fretboard_sheet),
    "body": ("Body", body_sheet),
    "half-body": ("Half the body", partial(body_sheet, half=True)),
    "head": ("Headstock", head_sheet),
    "bridge": ("Bridge", bridge_sheet),
    "rosette": ("Rosette and soundhole", rosette_sheet),
    "side": ("Side", side_sheet),
    "back": ("Back", back_sheet),
}
# Whose inlays a sheet shows where they lie.
SHOWS: dict[SheetName, tuple[LiesOn, ...]] = {
    "overview": ("fretboard", "top", "rosette", "headplate", "bridge"),
    "fretboard": ("fretboard",),
    "body": ("top", "rosette"),
    "head": ("headplate",),
    "bridge": ("bridge",),
    "rosette": ("rosette",),
    "inlay": get_args(LiesOn),
}
MEDIA: dict[PlanFormat, str] = {
    "svg": "image/svg+xml",
    "pdf": "application/pdf",
    "dxf": "image/vnd.dxf",
}
AS_DRAWN = Tool()
PAPERS: dict[Paper, str] = {"A4": "A4", "Letter": "Letter", "sheet": "one large sheet"}


class SheetView(BaseModel):
    """A sheet to measure from."""

    name: SheetName
    title: str


class DrawingsView(Careful):
    """The sheets of a brief, and what to heed where a machine cuts from them."""

    sheets: list[SheetView]


@dataclass(frozen=True)
class PlanFile:
    """One sheet as a file."""

    name: str
    media_type: str
    data: bytes


def sheets_of(desk: Desk, brief: Brief) -> list[tuple[SheetName, str]]:
    """The sheets that a brief has, each with its title: that for inlay once there is one."""
    known = [(name, title) for name, (title, _) in SHEETS.items()]
    return [*known, ("inlay", "Inlay")] if inlays_of(desk, brief) else known


def drawings_view(desk: Desk, brief: Brief) -> DrawingsView:
    """All sheets; the cautions are of a laser on what the parts are made of now."""
    return DrawingsView(
        sheets=[SheetView(name=name, title=title) for name, title in sheets_of(desk, brief)],
        **vars(_machine_care(desk, brief)),
    )


def _machine_care(desk: Desk, brief: Brief) -> Careful:
    parts = listed(desk, Part, brief_id=brief.id)
    pieces = [desk.session.get_one(Material, one.material_id) for one in parts if one.material_id]
    return Careful(**careful(machine_cautions(pieces)))


def _made_of(desk: Desk, brief: Brief, sheet: SheetName) -> list[Any]:
    """The records that a sheet shows: the brief, and on most its inlays."""
    return [brief, *(all_inlays(desk, brief) if sheet in SHOWS else [])]


def _unsure(made: Preset) -> str:
    """How far off an outline from a photograph may be; empty of one that is exact."""
    doubt = made.outline_doubt_mm
    if doubt is None:
        return "doubt not known: measure first"
    if not doubt:
        return ""
    said = f"± {math.ceil(doubt * 10) / 10:g} mm"
    return said if doubt <= SURE_MM else f"{said}: measure first"


def plan_of(desk: Desk, brief: Brief, sheet: SheetName) -> Plan:
    """One sheet of the brief's instrument, in true millimetres. Raises NotFound for the inlay
    sheet of a brief without one."""
    made_of = _made_of(desk, brief, sheet)
    when = max(one.changed_utc for one in made_of)
    made = instrument_of(brief)
    block = TitleBlock(
        brief.title, revision_words(desk, brief, made_of[1:]), day(when), _unsure(made)
    )
    if sheet == "inlay":
        sawn = _sawn(desk, brief)
        if not sawn:
            raise NotFound("This brief has no inlay yet. Add one on its Inlay sheet.")
        return inlay_sheet(made, block, sawn)
    if sheet == "rosette":
        those = [one for one in _sawn(desk, brief) if one.lies_on == "rosette"]
        return rosette_sheet(made, block, those)
    let_in = [
        run
        for one in inlays_of(desk, brief)
        if one.record.lies_on in SHOWS.get(sheet, ())
        for copy in copies_of(made, one.record)
        for run in runs_of(copy)
    ]
    return SHEETS[sheet][1](made, block, let_in)


def _sawn(desk: Desk, brief: Brief) -> list[Sawn]:
    """The inlays of a brief as its sheets show them."""
    made, found = instrument_of(brief), []
    for one in inlays_of(desk, brief):
        copies = copies_of(made, one.record)
        if copies:
            view = inlays.show(desk, one.record)
            notes = (f"Set into the {view.place}.", *view.sentences)
            found.append(Sawn(view.name, view.lies_on, tuple(copies), notes))
    return found


def draw(
    desk: Desk,
    brief: Brief,
    sheet: SheetName,
    form: PlanFormat,
    paper: Paper = "A4",
    tool: Tool = AS_DRAWN,
    *,
    small: bool = False,
) -> PlanFile:
    """One sheet as SVG, as DXF, or as PDF tiled on that paper; as SVG also `small`, without words.

    The first two, which machines cut from, tell what to take care of, and have the way of a `tool`
    where one is given. Raises InputError where it does not fit, or a PDF is asked for with one.
    """
    plan = plan_of(desk, brief, sheet)
    if form == "pdf" and tool != AS_DRAWN:
        raise InputError.at(
            "tool_mm",
            "A PDF is printed to measure from, and shows the finished edges. Take the SVG or the "
            "DXF for a machine.",
        )
    plan = tooled(plan, tool)
    care = _machine_care(desk, brief)
    told = [*in_words(tool), *care.cautions, care.reminder]
    match form:
        case "svg":
            data = (as_small_svg(plan) if small else as_svg(plan, told)).encode()
        case "dxf":
            data = as_dxf(plan, told).encode()
        case "pdf":
            data = as_pdf(plan, paper)
    tiled = f"-{paper}" if form == "pdf" else "-tool" if tool != AS_DRAWN else ""
    return PlanFile(f"{sheet}{tiled}.{form}", MEDIA[form], data)


def machine(desk: Desk, brief: Brief, asked: AskedOfMachine) -> Machine:
    """What the Drawing sheet says of a machine, and which sheets its tool cannot cut."""
    tool, faults = tool_of(asked)
    refused: dict[str, str] = {}
    if tool != AS_DRAWN:
        for name, _ in sheets_of(desk, brief):
            try:
                tooled(plan_of(desk, brief, name), tool)
            except InputError as exc:
                refused[name] = str(exc)
    return Machine(asked, faults, refused, asked.query if tool != AS_DRAWN else "", CUTS_WORDS)


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
            (name, title, sum(one.version for one in _made_of(desk, brief, name)))
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
