"""`brief backup` and `brief restore`: everything there is, as a folder."""

from __future__ import annotations

from pathlib import Path

from brief.cli.terminal import print_json
from brief.settings import Settings
from brief.store.backup import Backup, back_up, restore


def back_up_home(home: Path | None, folder: Path, *, as_json: bool) -> None:
    """Copy all briefs, the rack and the pictures into `folder`, and say what it holds."""
    made = back_up(_home(home), folder)
    _say(made, folder, f"{folder} holds", as_json=as_json)


def restore_home(home: Path | None, folder: Path, *, as_json: bool) -> None:
    """Put a copy back where there is nothing yet, and say what came."""
    place = _home(home)
    made = restore(folder, place)
    _say(made, place, f"{place} holds again", as_json=as_json)


def _home(home: Path | None) -> Path:
    return (Settings(home=home) if home else Settings()).home


def _say(made: Backup, folder: Path, holds: str, *, as_json: bool) -> None:
    if as_json:
        print_json({"folder": str(folder), **vars(made), "missing": list(made.missing)})
        return
    briefs = "1 brief" if made.briefs == 1 else f"{made.briefs} briefs"
    print(f"{holds} {briefs} and {made.pictures} pictures, {made.copied} of them copied just now.")
    if made.missing:
        print(f"Missing before, and so not in it: the files of {len(made.missing)} pictures.")
