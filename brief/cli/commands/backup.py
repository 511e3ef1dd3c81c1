"""`brief backup` and `brief restore`: everything there is, as a folder."""

from __future__ import annotations

from pathlib import Path

from brief.cli.terminal import FOUND, print_json
from brief.english import number_of, words
from brief.errors import InputError
from brief.settings import settings_at
from brief.store.backup import Backup, back_up, restore


def back_up_home(home: Path | None, folder: Path, *, as_json: bool) -> int:
    """Copy all briefs, the rack and the pictures into `folder`, and say what it holds; 0 if all of
    it is sound, otherwise 1.
    """
    settings = settings_at(home)
    made = back_up(settings.home, folder, url=settings.url, bucket=settings.bucket)
    if as_json:
        _say_json(made, folder)
    else:
        _say_backup(made, folder)
        if settings.url is not None or settings.bucket is not None:
            print(
                "It is a home of its own, database and pictures as files: “brief check --home "
                f"{folder}” looks through it without server or bucket."
            )
    return 0 if made.is_sound else FOUND


def _say_backup(made: Backup, folder: Path) -> None:
    _say(made, f"{folder} holds")
    if made.fewer:
        print(
            f"On the shelf: {made.fewer} fewer than in the copy before, which is kept: "
            f"{made.earlier[0]}"
        )
    elif made.earlier:
        print(f"Earlier copies kept beside it: {len(made.earlier)}, the last {made.earlier[0]}")
    if made.faults:
        print(f"The database was copied as it is, and it is not sound: {made.faults[0]}.")
        print("See: brief check")


def restore_home(home: Path | None, folder: Path, copy: str | None, *, as_json: bool) -> None:
    """Put a copy back where there is nothing yet, and say what came."""
    settings = settings_at(home)
    if settings.url is not None or settings.bucket is not None:
        raise InputError(
            "a backup is put back into a folder, and carried to a server or a bucket from there: "
            f"brief restore {folder} --home NEW-FOLDER; then brief carry"
        )
    place = settings.home
    made = restore(folder, place, copy=copy)
    if as_json:
        _say_json(made, place)
    else:
        _say(made, f"{place} holds again")


def _say_json(made: Backup, folder: Path) -> None:
    print_json({"folder": str(folder), **vars(made)})


def _say(made: Backup, holds: str) -> None:
    held = words([number_of(made.briefs, "brief"), number_of(made.pictures, "picture")])
    print(f"{holds} {held}, {made.copied} of them copied just now.")
    if made.healed:
        print(f"Damaged before and right again: {made.healed}.")
    for what, those in (("Missing", made.missing), ("Damaged", made.damaged)):
        if those:
            print(f"{what}, so left out: {', '.join(f'“{made.names[one]}”' for one in those)}")
    if made.missing or made.damaged:
        print("Put them back from another backup: brief check --repair --from BACKUP")
