"""`brief draw`: the sheets of a brief's instrument as files to print and measure from, and its
fret table as one to keep on the phone."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from brief.api.bench_file import bench_file
from brief.api.templates import Pages
from brief.cli.find_brief import called, opened
from brief.cli.terminal import print_json
from brief.errors import InputError, quoted
from brief.instrument.plans.files.tiles import Paper
from brief.instrument.plans.tooled import in_words
from brief.places import web_folder
from brief.services import nouns
from brief.services.common.finding import listed
from brief.services.drawing.body_files import body_file, body_name, body_of
from brief.services.drawing.machine import AskedOfMachine, tool_of
from brief.services.drawing.plans import (
    AS_DRAWN,
    PAPERS,
    PlanFormat,
    draw,
    drawings_view,
    sheets_of,
    which_it_cannot_cut,
)
from brief.services.outputs.sawing_papers import board_sheets
from brief.services.spec.cutting import as_csv, cut_list_view
from brief.services.spec.sawing.sawing import AskedOfSaw, kerf_of
from brief.store.records import Part


def draw_sheets(
    home: Path | None,
    wanted: str,
    out: Path,
    paper: Paper,
    machine: AskedOfMachine,
    saw: AskedOfSaw,
    *,
    glb: bool,
    as_json: bool,
) -> None:
    """Write every sheet of a brief as SVG, PDF and DXF into `out`, its frets as HTML, its cut list
    as CSV, where to saw each board as PDF, and with `glb` the instrument as a body to turn; print
    what was written, and which sheets the machine cannot cut.

    wanted : the brief's id or its title, or the beginning of its title. Raises InputError if no
    brief or several are called that, or `out` is no folder and cannot be made one.
    """
    tool, faults = tool_of(machine)
    if faults:
        name, said = next(iter(faults.items()))
        raise InputError(f"--{name.removesuffix('_mm')}: {said}")
    kerf_mm, fault = kerf_of(saw)
    if fault:
        raise InputError(f"--kerf: {fault}")
    if paper not in PAPERS:
        raise InputError(f"--paper is one of {', '.join(PAPERS)}; got {quoted(paper)}")
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        refused = which_it_cannot_cut(desk, brief, tool)
        drawn = [
            draw(desk, brief, sheet, form, paper, AS_DRAWN if form == "pdf" else tool)
            for sheet, _ in sheets_of(desk, brief)
            for form in get_args(PlanFormat)
            if form == "pdf" or sheet not in refused
        ]
        care = drawings_view(desk, brief)
        files = {one.name: one.data for one in drawn}
        pages = Pages(web_folder() / "templates", locked=False)
        files["frets.html"] = bench_file(pages, desk, brief)
        if glb:
            body = body_of(desk, brief, listed(desk, Part, brief_id=brief.id))
            files[body_name(brief)] = body_file(desk, body)
        files["cut-list.csv"] = as_csv(cut_list_view(desk, brief)).encode("utf-8-sig")
        files |= board_sheets(desk, brief, "Letter" if paper == "Letter" else "A4", kerf_mm)
    try:
        out.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            (out / name).write_bytes(data)
    except OSError as exc:
        raise InputError(f"{out} cannot be written into: {exc.strerror}") from exc
    if as_json:
        written = [str(out / name) for name in files]
        print_json({"written": written, "refused": refused, "cautions": care.cautions})
        return
    for name in files:
        print(out / name)
    print("Print the PDFs at 100 % and measure the square of 100 mm on each page first.")
    print(f"If a machine cuts from them: {care.care}.")
    for line in in_words(tool):
        print(line)
    for sheet, why in refused.items():
        print(f"No {sheet}-tool.svg and {sheet}-tool.dxf. {why}")
    print(care.reminder)
    print("frets.html is for the phone at the bench: it opens with this computer off.")
    if glb:
        print("The GLB opens in any viewer of glTF. It is computed, and nothing to measure from.")
