"""Whether a database is sound: one this program made, whole, with every record readable."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import (
    JSON,
    URL,
    Column,
    Connection,
    Float,
    Table,
    create_engine,
    inspect,
    select,
)
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import NullPool

from brief.errors import StoreError
from brief.store.databases.database import Database, known_versions
from brief.store.files import SHA256
from brief.store.records import Base, Image

MOST_NAMED = 20  # faults of one table; more are not worth reading
UNREADABLE = (DatabaseError, TypeError, ValueError)


@dataclass(frozen=True)
class Damage:
    """What is wrong with a database, in words."""

    kind: Literal["file", "schema", "keys", "record"]
    said: str


def faults_of(copy: Path) -> list[Damage]:
    """What is wrong with a copy of a database, which is brought up to date by it.

    Each step is trusted only if those before it found nothing. A trigger or a view would run, or
    answer, in place of what the program wrote; it has none.
    """
    steps: tuple[Callable[[Path], Iterator[Damage]], ...] = (
        _of_the_file,
        _of_its_making,
        _of_bringing_it_up_to_date,
        _of_its_tables,
        _of_its_records,
    )
    for step in steps:
        found = list(step(copy))
        if found:
            return found
    return []


def _of_the_file(path: Path) -> Iterator[Damage]:
    try:
        with closing(sqlite3.connect(path)) as connection:
            (said,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    except sqlite3.Error as exc:
        said = str(exc)
    if said != "ok":
        yield Damage("file", f"the database is damaged: {said}")


def _of_its_making(path: Path) -> Iterator[Damage]:
    with closing(sqlite3.connect(path)) as connection:
        for kind, name in connection.execute(
            "SELECT type, name FROM sqlite_master WHERE type IN ('trigger', 'view')"
        ):
            yield Damage("schema", f"the database has a {kind}, “{name}”; this program makes none")
        tables = {
            name
            for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        }
        if "alembic_version" not in tables:
            yield Damage("schema", "the database is empty, or was not made by this program")
            return
        versions = [one for (one,) in connection.execute("SELECT version_num FROM alembic_version")]
        if len(versions) != 1 or versions[0] not in known_versions():
            found = ", ".join(map(str, versions)) or "none"
            yield Damage(
                "schema",
                f"the database has the version {found}, which this program does not know; install "
                "the newest version of it",
            )
        broken = connection.execute("PRAGMA foreign_key_check").fetchmany(MOST_NAMED)
    for table, row, wanted, _ in broken:
        yield Damage("keys", f"row {row} of {table} points at what is missing in {wanted}")


def _of_bringing_it_up_to_date(path: Path) -> Iterator[Damage]:
    try:
        Database(path).close()
    except StoreError as exc:
        if "full" in str(exc.__cause__):  # of the disk, which is no fault of the database
            raise
        yield Damage("schema", str(exc))
    except (ArithmeticError, LookupError, TypeError, ValueError) as exc:  # of what it holds
        yield Damage("schema", f"the database cannot be brought up to date: {exc}")


def _of_its_tables(path: Path) -> Iterator[Damage]:
    with reading(path) as connection:
        found = inspect(connection)
        names = set(found.get_table_names())
        for table in Base.metadata.sorted_tables:
            if table.name not in names:
                yield Damage("schema", f"the table “{table.name}” is missing")
                continue
            columns = {column["name"] for column in found.get_columns(table.name)}
            for column in table.columns:
                if column.name not in columns:
                    yield Damage("schema", f"the column “{column.name}” of {table.name} is missing")


def _of_its_records(path: Path) -> Iterator[Damage]:
    with reading(path) as connection:
        for table in Base.metadata.sorted_tables:
            try:
                fits = all(
                    all(map(_fits, table.columns, row)) for row in connection.execute(select(table))
                )
            except UNREADABLE:
                fits = False
            if not fits:
                yield from islice(_of_each(connection, table), MOST_NAMED)


def _of_each(connection: Connection, table: Table) -> Iterator[Damage]:
    """The same once more, each value by itself: which of them is it?"""
    keys = list(table.primary_key.columns)
    for key in connection.execute(select(*keys)).all():
        same = [column == value for column, value in zip(keys, key, strict=True)]
        for column in table.columns:
            try:
                fits = _fits(column, connection.execute(select(column).where(*same)).scalar())
            except UNREADABLE:
                fits = False
            if not fits:
                at = " ".join(map(str, key))
                yield Damage("record", f"“{column.name}” of {table.name} {at} cannot be read")


def _fits(column: Column[Any], value: Any) -> bool:
    """Whether a value is of its column's kind: SQLite would keep any."""
    if value is None:
        return bool(column.nullable)
    if isinstance(column.type, JSON):  # which was read
        return True
    if column.table is Image.__table__ and column.name == "sha256":
        return isinstance(value, str) and SHA256.fullmatch(value) is not None
    if isinstance(column.type, Float):
        return isinstance(value, int | float) and math.isfinite(value)
    return isinstance(value, column.type.python_type)


@contextmanager
def reading(path: Path) -> Iterator[Connection]:
    """A copy of a database, of whatever version, as it lies."""
    engine = create_engine(URL.create("sqlite", database=str(path)), poolclass=NullPool)
    with engine.connect() as connection:
        yield connection
