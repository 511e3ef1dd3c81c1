"""`brief export --for-comment`: one HTML file by mail, in which others can comment."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from brief.api.mailed import mailed_file
from brief.api.templates import Pages
from brief.cli.commands.going_out.parcel import written
from brief.cli.find_brief import called, opened, say_lost
from brief.cli.terminal import print_json
from brief.errors import InputError, quoted
from brief.places import web_folder
from brief.services import nouns
from brief.services.sharing.share_scope import Scope
from brief.services.sharing.shares import USUALLY_SHOWN, SheetKey


def export_for_comment(
    home: Path | None, wanted: str, out: Path, sheets: str | None, *, as_json: bool
) -> None:
    """Write the file, whole or not at all.

    sheets : what it shows, between commas. Raises InputError for a sheet that there is not, if
    there is no such brief, or `out` is there already or cannot be written; TooLarge.
    """
    shown = [one for one in get_args(SheetKey) if one in _asked(sheets)]
    if out.exists():
        raise InputError(f"{out} is there already; name another file")
    pages = Pages(web_folder() / "templates", locked=False)
    with opened(home) as store, store.desk() as desk, written(out) as file:
        brief = called(nouns.briefs.page(desk), wanted)
        file.write(mailed_file(pages, Scope.of(desk, brief, shown)))
    if as_json:
        told = {"sheets": shown, "missing": list(desk.lost.values())}
        print_json({"written": str(out), "brief_id": brief.id, **told})
        return
    print(f"“{brief.title}” is in {out}, without what is private.")
    say_lost(desk.lost.values())
    print("What comes back: brief import FILE")


def _asked(sheets: str | None) -> list[str]:
    if sheets is None:
        return list(USUALLY_SHOWN)
    asked = [one.strip() for one in sheets.split(",")]
    wrong = [one for one in asked if one not in get_args(SheetKey)]
    if wrong:
        known = ", ".join(get_args(SheetKey))
        raise InputError(f"--sheets takes {known}, between commas; got {quoted(wrong[0])}")
    return asked
