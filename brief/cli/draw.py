"""`brief draw`: the sheets of a brief's instrument as files to print and measure from."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from brief.cli.terminal import print_json
from brief.errors import InputError
from brief.instrument.plan_tiles import Paper
from brief.services import nouns
from brief.services.drawings import PAPERS, SHEETS, Form, draw
from brief.settings import Settings
from brief.store.desk import Store
from brief.store.records import Brief


def draw_sheets(home: Path | None, wanted: str, out: Path, paper: Paper, *, as_json: bool) -> None:
    """Write every sheet of a brief as SVG, PDF and DXF into `out`, and print what was written.

    wanted : the brief's id or its title, or the beginning of its title. Raises InputError if no
    brief or several are called that, or `out` is no folder and cannot be made one.
    """
    if paper not in PAPERS:
        raise InputError(f"--paper is one of {', '.join(PAPERS)}; got {paper!r}")
    settings = Settings(home=home) if home else Settings()
    store = Store(settings.home)
    try:
        with store.desk(writing=False) as desk:
            brief = _called(nouns.briefs.page(desk), wanted)
            drawn = [draw(brief, sheet, form, paper) for sheet in SHEETS for form in get_args(Form)]
    finally:
        store.close()
    try:
        out.mkdir(parents=True, exist_ok=True)
        for one in drawn:
            (out / one.name).write_bytes(one.data)
    except OSError as exc:
        raise InputError(f"{out} cannot be written into: {exc.strerror}") from exc
    if as_json:
        print_json({"written": [str(out / one.name) for one in drawn]})
        return
    for one in drawn:
        print(out / one.name)
    print("Print the PDFs at 100 % and measure the square of 100 mm on each page first.")


def _called(briefs: Sequence[Brief], wanted: str) -> Brief:
    named = [one for one in briefs if wanted in (one.id, one.title)] or [
        one for one in briefs if one.title.casefold().startswith(wanted.casefold())
    ]
    if len(named) == 1:
        return named[0]
    known = "; ".join(one.title for one in (named or briefs)) or "none yet"
    what = "several briefs are" if named else "no brief is"
    raise InputError(f"{what} called {wanted!r}; there are: {known}")
