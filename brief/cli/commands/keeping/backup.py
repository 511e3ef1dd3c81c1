"""`brief backup` and `brief restore`: everything there is, as a folder."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from brief.cli.terminal import FOUND, print_json
from brief.english import number_of, words
from brief.errors import InputError
from brief.settings import settings_at
from brief.store.backup import Backup, back_up, restore
from brief.store.databases.copies import DATABASE
from brief.store.workshops import HomePlace, missing


def back_up_home(home: Path | None, folder: Path, *, as_json: bool) -> int:
    """Copy all briefs, the rack and the pictures into `folder`, and say what it holds; 0 if all of
    it is sound, otherwise 1.
    """
    settings = settings_at(home)
    place, into = HomePlace(settings.home, settings.url, settings.bucket), HomePlace(folder)
    made = _backed_up(place, into)
    # One after the other: none refers to another but by what was copied from it.
    others = {one: _backed_up(place.workshop(one), into.workshop(one)) for one in place.workshops()}
    gone = missing(others, folder / DATABASE)
    if as_json:
        _say_json(made, folder, others, gone)
    else:
        _say_backup(made, folder)
        for lost in gone:
            print(not_there(lost))
        for one, its in others.items():
            _say_backup(its, into.workshop(one).home)
        if settings.url is not None or settings.bucket is not None:
            print(
                "It is a home of its own, database and pictures as files: “brief check --home "
                f"{folder}” looks through it without server or bucket."
            )
    sound = not gone and all(one.is_sound for one in (made, *others.values()))
    return 0 if sound else FOUND


def not_there(workshop_id: str) -> str:
    """What is said of a workshop that the register names and that is gone."""
    return (
        f"The workshop {workshop_id} of one of the makers is not there. Its folder is workshops/"
        f"{workshop_id}; put it back from a backup: brief restore"
    )


def _backed_up(place: HomePlace, into: HomePlace) -> Backup:
    return back_up(place.home, into.home, url=place.url, bucket=place.bucket)


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
    source, into = HomePlace(folder), HomePlace(place)
    # Of an earlier day the register; workshops are put back as they were copied last.
    others = {
        one: restore(source.workshop(one).home, into.workshop(one).home)
        for one in source.workshops()
    }
    if as_json:
        _say_json(made, place, others)
    else:
        _say(made, f"{place} holds again")
        for one, its in others.items():
            _say(its, f"{into.workshop(one).home} holds again")
        if others and copy:
            print("Of that day is what the owner of the server has; workshops are of the last.")


def _say_json(
    made: Backup, folder: Path, others: Mapping[str, Backup], gone: Sequence[str] = ()
) -> None:
    workshops = {one: vars(its) for one, its in others.items()}
    told = {"folder": str(folder), **vars(made)}
    if others or gone:
        told |= {"workshops": workshops, "missing_workshops": list(gone)}
    print_json(told)


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
