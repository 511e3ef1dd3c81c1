"""A copy of everything in one folder, taken while the program may be running, and put back.

The copy is itself a home: it can be opened as it lies. Pictures never change under their hash, so
that a further copy into the same folder brings only the new ones.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from brief.errors import InputError, StoreError

DATABASE = "brief.sqlite3"
BEFORE = "brief.sqlite3.before"  # what a further copy replaced
MARK = "this-is-a-backup.txt"
ORIGINALS = Path("images") / "originals"


@dataclass(frozen=True)
class Backup:
    """What a copy holds. missing : hashes of pictures whose files were not there to be copied."""

    briefs: int
    pictures: int
    copied: int
    missing: tuple[str, ...]


def back_up(home: Path, folder: Path) -> Backup:
    """Copy `home` into `folder`, which is made, or holds an earlier copy.

    Raises InputError if there is nothing to copy or the folder holds other things; StoreError if
    it cannot be read or written. An earlier copy then stays as it was.
    """
    if not (home / DATABASE).is_file():
        raise InputError(f"there are no briefs in {home}, so there is nothing to back up")
    inside = home.resolve() in (folder.resolve(), *folder.resolve().parents)
    if inside or folder.resolve() in home.resolve().parents:
        raise InputError(f"{folder} and {home} lie in each other; name a folder somewhere else")
    if folder.exists() and not (folder / MARK).is_file() and _holds_anything(folder):
        raise InputError(f"{folder} holds other things; name an empty folder, or a new one")
    with _in_words(folder):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / MARK).write_text(
            "A copy of all briefs, made by: brief backup. To put it back: brief restore\n", "utf-8"
        )
        with tempfile.TemporaryDirectory(dir=folder, prefix=".part-") as part:
            snapshot = Path(part) / DATABASE
            briefs, wanted = _snapshot(home / DATABASE, snapshot)
            there = [sha256 for sha256 in wanted if _copy_picture(home, folder, sha256)]
            missing = tuple(one for one in wanted if not _place(folder, one).is_file())
            if (folder / DATABASE).exists():
                os.replace(folder / DATABASE, folder / BEFORE)
            os.replace(snapshot, folder / DATABASE)
    return Backup(briefs, len(wanted), len(there), missing)


def restore(folder: Path, home: Path) -> Backup:
    """Put a copy back into `home`, which must be empty or not there yet: nothing is overwritten.

    Every picture is checked against its hash first. Raises InputError if this is no copy or the
    home holds anything; StoreError if something cannot be read or written. The home is then as it
    was.
    """
    if not (folder / DATABASE).is_file():
        raise InputError(f"{folder} is no backup: there is no {DATABASE} in it")
    if home.exists() and (not home.is_dir() or _holds_anything(home)):
        raise InputError(
            f"{home} already holds something, and nothing is overwritten; move it away first, or "
            "name another folder with --home"
        )
    with _in_words(home):
        home.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent, prefix=".part-") as part:
            made = Path(part) / "home"
            made.mkdir()
            briefs, wanted = _snapshot(folder / DATABASE, made / DATABASE)
            there = [sha256 for sha256 in wanted if _copy_picture(folder, made, sha256)]
            if home.exists():
                home.rmdir()  # empty, as was looked
            os.replace(made, home)
    missing = tuple(one for one in wanted if one not in there)
    return Backup(briefs, len(wanted), len(there), missing)


def _snapshot(source: Path, target: Path) -> tuple[int, list[str]]:
    """Copy a database as it is at one moment; how many briefs are in it, and all its pictures."""
    try:
        with (
            closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(target)) as new,
        ):
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE")  # one file, not three
            (sound,) = new.execute("PRAGMA integrity_check(1)").fetchone()
            if sound != "ok":
                raise StoreError(f"the database {source} is damaged: {sound}")
            (briefs,) = new.execute(
                "SELECT count(*) FROM briefs WHERE binned_utc IS NULL"
            ).fetchone()
            pictures = new.execute("SELECT sha256 FROM images ORDER BY sha256").fetchall()
    except sqlite3.Error as exc:
        raise StoreError(f"the database {source} could not be copied: {exc}") from exc
    return briefs, [sha256 for (sha256,) in pictures]


def _copy_picture(source: Path, target: Path, sha256: str) -> bool:
    """Whether the picture was copied; not so if it is there already, or nowhere.

    Raises StoreError if the file is not what its hash says.
    """
    old, new = _place(source, sha256), _place(target, sha256)
    if new.is_file() or not old.is_file():
        return False
    data = old.read_bytes()
    if hashlib.sha256(data).hexdigest() != sha256:
        raise StoreError(f"the picture {old} is damaged; put it back from another copy first")
    new.parent.mkdir(parents=True, exist_ok=True)
    part = new.with_name(f".part-{sha256}")
    part.write_bytes(data)
    os.replace(part, new)
    return True


def _place(home: Path, sha256: str) -> Path:
    return home / ORIGINALS / sha256[:2] / sha256


def _holds_anything(folder: Path) -> bool:
    return any(folder.iterdir())


@contextmanager
def _in_words(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as exc:
        raise StoreError(f"{folder} cannot be written: {exc.strerror}") from exc
