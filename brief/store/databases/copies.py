"""Copies of a database: taken at one moment, compared by what they hold, several of them kept."""

from __future__ import annotations

import errno
import filecmp
import os
import shutil
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from brief.errors import InputError, StoreError
from brief.store.files import PART, make_folder, sync_file, sync_folder
from brief.store.records import Base, Record

DATABASE = "brief.sqlite3"
MARK = "this-is-a-backup.txt"
EARLIER = "earlier"  # the copies before the newest, in a folder of a backup
BEFORE = "brief.sqlite3.before"  # where an older version of this program kept the only one
NEWEST, MONTHS = 10, 12  # how many earlier copies are kept, and of how many months the last one
DAY_AND_TIME = "%Y-%m-%dT%H-%M-%SZ"  # such as every disk takes in a name


@dataclass(frozen=True)
class Holding:
    """What a database holds. home : the id of the home it belongs to; None if it is from before
    there were any. briefs : titles of those on the shelf, by id. records : (table, id) of all,
    those in the offcuts bin and pictures, too. pictures : their names, by SHA-256.
    """

    home: str | None
    briefs: dict[str, str]
    records: frozenset[tuple[str, str]]
    pictures: dict[str, str]

    def lacks(self, other: Holding) -> frozenset[tuple[str, str]]:
        """What the other holds and this does not. No record is ever deleted, so that of one home
        a later copy has all that an earlier one has.
        """
        return other.records - self.records


def snapshot(source: Path, target: Path) -> None:
    """Copy a database as it is at one moment, while it may be in use.

    Raises StoreError if it is damaged or cannot be read, OSError if the disk is full.
    """
    try:
        with (
            closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as old,
            closing(sqlite3.connect(target)) as new,
        ):
            old.backup(new)
            new.execute("PRAGMA journal_mode = DELETE")  # one file, not three
            (sound,) = new.execute("PRAGMA integrity_check(1)").fetchone()
    except sqlite3.Error as exc:
        if "full" in str(exc):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)) from exc
        raise StoreError(f"the database {source} could not be copied: {exc}") from exc
    if sound != "ok":
        raise StoreError(f"the database {source} is damaged: {sound}")
    sync_file(target)


def holding(database: Path) -> Holding:
    """What a copy holds, of whichever version. Raises StoreError if it cannot be read."""
    wanted = {
        mapper.class_.__tablename__
        for mapper in Base.registry.mappers
        if issubclass(mapper.class_, Record)
    }
    try:
        with closing(sqlite3.connect(f"{database.resolve().as_uri()}?mode=ro", uri=True)) as one:
            tables = {
                name
                for (name,) in one.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            }
            home = one.execute("SELECT id FROM homes").fetchone() if "homes" in tables else None
            pictures = dict(one.execute("SELECT sha256, name FROM images ORDER BY sha256"))
            records = {
                (table, record_id)
                for table in sorted(wanted & tables)
                for (record_id,) in one.execute(f'SELECT id FROM "{table}"')
            }
            return Holding(
                home=home[0] if home else None,
                briefs=dict(one.execute("SELECT id, title FROM briefs WHERE binned_utc IS NULL")),
                records=frozenset(records | {("images", sha256) for sha256 in pictures}),
                pictures=pictures,
            )
    except sqlite3.Error as exc:
        raise StoreError(f"the database {database} cannot be read: {exc}") from exc


def put_newest(folder: Path, taken: Path) -> None:
    """Make `taken` the newest copy in a backup; the one before is kept under its day and time.

    Nothing is put in place of a copy that is the same. Raises OSError; the copies that were there
    are then there still.
    """
    newest = folder / DATABASE
    if (folder / BEFORE).exists():
        _keep(folder, folder / BEFORE)
        (folder / BEFORE).unlink()
    if newest.exists():
        if filecmp.cmp(taken, newest, shallow=False):
            return
        _keep(folder, newest)
    os.replace(taken, newest)
    sync_folder(folder)


def drop_old(folder: Path, *, but: str | None = None) -> None:
    """Delete the earlier copies that are not to be kept for ever, `but` one. Raises OSError."""
    for name in _to_drop(earlier_copies(folder)) - {but}:
        _named(folder, name).unlink()


def in_one_file(database: Path) -> None:
    """Bring what a database opened as a home has beside it into it, so that it can be replaced.

    Raises StoreError while it is in use; what cannot be read stays as it is.
    """
    try:
        with closing(sqlite3.connect(database, timeout=1)) as one:
            one.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as exc:
        raise StoreError(
            f"the copy {database} is in use; stop the program that has it open, and try again"
        ) from exc
    except sqlite3.DatabaseError:
        return


def earlier_copies(folder: Path) -> list[str]:
    """The days and times of the copies before the newest, the latest first."""
    found = (folder / EARLIER).glob("*.sqlite3")
    return sorted((one.stem for one in found if not one.name.startswith(PART)), reverse=True)


def copy_in(folder: Path, name: str | None) -> Path:
    """Where a copy in a backup is: the newest, or that of a day and time. Raises InputError."""
    if name is None:
        if not (folder / DATABASE).is_file():
            raise InputError(f"{folder} is no backup: there is no {DATABASE} in it")
        return folder / DATABASE
    known = earlier_copies(folder)
    if name not in known:
        there = ", ".join(known) or "none"
        raise InputError(f"there is no copy “{name}” in {folder}; earlier copies: {there}")
    return _named(folder, name)


def _named(folder: Path, name: str) -> Path:
    return folder / EARLIER / f"{name}.sqlite3"


def _keep(folder: Path, copy: Path) -> None:
    """Put a copy among the earlier ones, by when it was made."""
    made = datetime.fromtimestamp(copy.stat().st_mtime, UTC).strftime(DAY_AND_TIME)
    known, count = {*earlier_copies(folder)}, 1
    name = made
    while name in known:  # two within a second
        count += 1
        name = f"{made}-{count}"
    place = _named(folder, name)
    make_folder(place.parent)
    part = place.with_name(f"{PART}{place.name}")
    try:
        shutil.copy2(copy, part)
        sync_file(part)
        os.replace(part, place)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    sync_folder(place.parent)


def _to_drop(names: Sequence[str]) -> set[str]:
    """Those beyond the newest and the last of each of the latest months; the latest come first.

    >>> sorted(_to_drop([f"2027-0{month}-0{day}" for month in (6, 5) for day in range(9, 0, -1)]))
    ['2027-05-01', '2027-05-02', '2027-05-03', '2027-05-04', '2027-05-05', '2027-05-06', \
'2027-05-07', '2027-05-08']
    """
    last_of: dict[str, str] = {}
    for name in names:
        last_of.setdefault(name[:7], name)
    return {*names} - {*names[:NEWEST]} - {*list(last_of.values())[:MONTHS]}
