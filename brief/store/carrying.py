"""Everything there is, carried from one place to another, and proved to have arrived.

Records between a file and a server, pictures between a folder and a bucket, either way. Every row
goes as it is, with its ids, versions and times, so that links, backups and parcels made before
still fit.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, delete, func, insert, select
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from brief.english import number_of
from brief.errors import InputError, StoreError
from brief.store.backup_folder import holds_anything
from brief.store.databases.copies import DATABASE, holding, in_one_file, snapshot
from brief.store.databases.database import Database, let_references_wait
from brief.store.desk import Store
from brief.store.files import in_words, make_folder, sync_file
from brief.store.pictures.bucket import is_bucket
from brief.store.pictures.bucket_images import images_at
from brief.store.pictures.images import ImageStore
from brief.store.records import Base, Home

AT_ONCE = 500
"""Rows in one go: enough to be quick, few enough that long documents fit in memory."""
FULL = "nothing was carried over; free some space, or name a folder on another disk"


@dataclass(frozen=True)
class Carried:
    """What arrived: rows by table (none where pictures alone were carried, or the database was
    copied as a file), and how many pictures came along (none where both share them). missing :
    their hashes, of those whose files were not there to be carried.
    """

    rows: dict[str, int]
    pictures: int = 0
    missing: tuple[str, ...] = ()


def carry(home: Path, url: str | None, place: Path | str, *, bucket: str | None = None) -> Carried:
    """Carry a home's records into an empty database, if `place` is the URL of one on a server,
    which then goes with the same pictures; or its pictures into a bucket, if it is the URL of one;
    or all of it into a new home, pictures and all.

    url, bucket : where the home's own records and pictures are, if not in its folder.
    Nothing is taken away where it comes from.
    Raises InputError if there is anything at `place` already, or nothing to carry; StoreError if
    something cannot be read or written, or did not arrive as it was. What is there is then as it
    was, but for pictures in a bucket: each that arrived stays, to go on from.
    """
    if isinstance(place, str) and is_bucket(place):
        if bucket is not None:
            raise InputError(
                "pictures in a bucket are carried into a folder, and from there to another; name a "
                "new folder"
            )
        return _into_bucket(home, url, place)
    if isinstance(place, str):
        if url is not None:
            raise InputError(
                "a database on a server is carried into a folder, and from there to another; name "
                "a new folder"
            )
        return Carried(_into_server(home, place))
    if url is None and bucket is None:
        raise InputError(f"a home in a folder is copied into another with: brief backup {place}")
    if place.exists() and (not place.is_dir() or holds_anything(place)):
        raise InputError(f"{place} already holds something; name a new folder")
    source = images_at(home, bucket)
    source.ask()
    with in_words(place, full=FULL):
        was_there = place.exists()
        try:
            make_folder(place)
            rows = take_copy(home, url, place / DATABASE)
            pictures, missing = _pictures(source, place / DATABASE, ImageStore(place / "images"))
        except BaseException:
            for made in (place / DATABASE, place / "images"):
                shutil.rmtree(made) if made.is_dir() else made.unlink(missing_ok=True)
            if not was_there:
                shutil.rmtree(place, ignore_errors=True)
            raise
    return Carried(rows, pictures, missing)


def _into_bucket(home: Path, url: str | None, place: str) -> Carried:
    """The pictures of a folder into a bucket; one that is there already and sound is not sent."""
    if url is None and not (home / DATABASE).is_file():
        raise InputError(f"there are no briefs in {home}, so there is nothing to carry")
    Store(home, url, place).close()  # brought up to date, and the bucket marked as this home's
    apart = Path(tempfile.gettempdir())
    with (
        in_words(apart, full=FULL),
        tempfile.TemporaryDirectory(dir=apart, prefix="brief-carry-") as folder,
    ):
        copy = Path(folder) / DATABASE
        take_copy(home, url, copy)
        arrived = images_at(Path(folder), place)
        return Carried({}, *_pictures(ImageStore(home / "images"), copy, arrived))


def take_copy(home: Path, url: str | None, target: Path) -> dict[str, int]:
    """The database of a home as it is at one moment, as a file; how many rows each table has.

    Raises StoreError if it cannot be read, OSError if the disk is full.
    """
    if url is None:
        snapshot(home / DATABASE, target)
        return {}  # one step of SQLite's own; nothing to count
    source, copy = Database(url), None
    try:
        copy = Database(target)
        rows = _carry(source, copy)
    finally:
        for one in (source, copy):
            if one is not None:
                one.close()
    in_one_file(target)
    sync_file(target)
    return rows


def _into_server(home: Path, url: str) -> dict[str, int]:
    if not (home / DATABASE).is_file():
        raise InputError(f"there are no briefs in {home}, so there is nothing to carry")
    Store(home).close()  # brought up to date
    source, target = Database(home / DATABASE), None
    try:
        target = Database(url)
        return _carry(source, target)
    finally:
        for one in (source, target):
            if one is not None:
                one.close()


def _carry(source: Database, target: Database) -> dict[str, int]:
    with source.session(writing=False) as read, target.session(writing=True) as written:
        old, new = read.connection(), written.connection()
        _must_be_empty(new)
        let_references_wait(new)
        new.execute(delete(Home))  # a database is given one when it is made
        for table in Base.metadata.sorted_tables:
            for rows in _in_parts(old, table):
                _put(new, table, rows)
        arrived = {}
        for table in Base.metadata.sorted_tables:
            there, here = (_counted(one, table) for one in (old, new))
            if there != here:
                raise StoreError(
                    f"the table “{table.name}” did not arrive as it was: {there[0]} rows there, "
                    f"{here[0]} here; nothing was carried over"
                )
            arrived[table.name] = here[0]
        written.commit()
    return arrived


def _must_be_empty(new: Connection) -> None:
    held = sum(
        new.scalar(select(func.count()).select_from(table)) or 0
        for table in Base.metadata.sorted_tables
        if table.name != Home.__tablename__
    )
    if held:
        raise InputError(
            f"that database already holds {number_of(held, 'record')}, and nothing is overwritten; "
            "name an empty one"
        )


def _in_parts(connection: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    found = connection.execute(
        select(table).order_by(*table.primary_key), execution_options={"yield_per": AT_ONCE}
    )
    for part in found.mappings().partitions():
        yield [dict(row) for row in part]


def _put(connection: Connection, table: Table, rows: list[dict[str, Any]]) -> None:
    try:
        connection.execute(insert(table), rows)
    except DBAPIError:
        raise
    except SQLAlchemyError as exc:  # of a value that is not of its column's kind
        raise StoreError(f"the table “{table.name}” holds what cannot be read: {exc}") from exc


def _counted(connection: Connection, table: Table) -> tuple[int, str]:
    """How many rows a table has, and one hash of all that is in them."""
    count, found = 0, hashlib.sha256()
    for rows in _in_parts(connection, table):
        count += len(rows)
        for row in rows:
            found.update(json.dumps(row, sort_keys=True, default=repr).encode())
    return count, found.hexdigest()


def _pictures(
    source: ImageStore, database: Path, target: ImageStore
) -> tuple[int, tuple[str, ...]]:
    """Those that a database names, from one place to another, each read again there and compared
    with its hash; how many, and which were missing or damaged.
    """
    there, missing = 0, []
    for sha256 in holding(database).pictures:
        if target.kept_bytes(sha256) is None:
            data = source.sound_bytes(sha256)
            if data is None:
                missing.append(sha256)
                continue
            target.keep(data)
            if target.kept_bytes(sha256) is None:
                raise StoreError(f"the picture {sha256[:12]}… did not arrive as it was")
            target.drop_copy(sha256)
        there += 1
    return there, tuple(missing)
