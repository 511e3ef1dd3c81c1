"""The sheets to measure from of an instrument, as files."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal, get_args

from pydantic import BaseModel

from brief.errors import InputError, NotFound
from brief.instrument import Preset
from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.inlay.polygons import runs_of
from brief.instrument.plans.files.dxf import as_dxf
from brief.instrument.plans.files.pdf import as_pdf
from brief.instrument.plans.files.svg import as_small_svg, as_svg
from brief.instrument.plans.files.tiles import Paper
from brief.instrument.plans.head_sheet import head_sheet
from brief.instrument.plans.inlay_sheets import Sawn, inlay_sheet, rosette_sheet
from brief.instrument.plans.overview import overview_sheet
from brief.instrument.plans.plan import Plan, TitleBlock
from brief.instrument.plans.sheets import body_sheet, bridge_sheet, fretboard_sheet
from brief.instrument.plans.side_sheets import back_sheet, side_sheet
from brief.instrument.plans.tooled import Tool, in_words, tooled
from brief.services.common.care import Careful, careful, machine_cautions
from brief.services.common.finding import listed
from brief.services.common.formatting import day
from brief.services.drawing.machine import CUTS_WORDS, AskedOfMachine, Machine, tool_of
from brief.services.history.revisions import revision_words
from brief.services.instrument.brief_inlays import all_inlays, copies_of, inlays_of
from brief.services.instrument.dimensions import instrument_of
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


def records_of(desk: Desk, brief: Brief, sheet: SheetName) -> list[Any]:
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
    made_of = records_of(desk, brief, sheet)
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
    refused = which_it_cannot_cut(desk, brief, tool)
    return Machine(asked, faults, refused, asked.query if tool != AS_DRAWN else "", CUTS_WORDS)


def which_it_cannot_cut(desk: Desk, brief: Brief, tool: Tool) -> dict[str, str]:
    """The sheets that a tool cannot cut, by their names, each with why."""
    refused: dict[str, str] = {}
    if tool != AS_DRAWN:
        for name, _ in sheets_of(desk, brief):
            try:
                tooled(plan_of(desk, brief, name), tool)
            except InputError as exc:
                refused[name] = str(exc)
    return refused
