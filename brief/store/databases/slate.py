"""A slate beside the database: what the processes that serve one home tell each other meanwhile.

How often somebody tried, what the studio has under way. Nothing on it is kept for good, so it is in
no backup and has no migrations: with another EDITION the tables are others. Beside a file it is a
file of its own, so that nobody waits there for whoever writes a brief; on a server it stands in the
same database.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock

from sqlalchemy import (
    Column,
    Connection,
    Engine,
    Float,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    create_engine,
    event,
    text,
)
from sqlalchemy.exc import DatabaseError
from sqlalchemy.pool import StaticPool

from brief.store.databases.postgres import PostgresDatabase
from brief.store.databases.sqlite_file import WAIT_FOR_LOCK_S, SqliteFile

EDITION = 1
"""Raised with any change of a table here."""
NAME = f"slate-{EDITION}.sqlite3"
# Any number, the same in every process, and not that of who writes a brief.
SLATES_TURN = 7_215_003

_tables = MetaData()
TRIES = Table(
    f"slate_tries_{EDITION}",
    _tables,
    Column("kind", String(40), primary_key=True),
    Column("client", String(32), primary_key=True),
    Column("tries_left", Float, nullable=False),
    Column("at_s", Float, nullable=False),  # since 1970
)
Index(f"slate_tries_{EDITION}_at", TRIES.c.kind, TRIES.c.at_s)
JOBS = Table(
    f"slate_jobs_{EDITION}",
    _tables,
    Column("id", String(26), primary_key=True),
    Column("asked_s", Float, nullable=False),
    Column("brief_id", String(26), nullable=False),
    Column("made_of", String(64), nullable=False),
    Column("name", String(200), nullable=False),
    Column("asked", Text, nullable=False),  # JSON
    Column("state", String(10), nullable=False),
    Column("done", Integer, nullable=False),
    Column("of", Integer, nullable=False),
    Column("left_s", Float),
    Column("picture_id", String(26)),
    Column("said", Text, nullable=False),
    Column("png", LargeBinary),
    Column("worker", String(26)),
    Column("beat_s", Float, nullable=False),  # when its worker was last heard of
    Column("taken", Integer, nullable=False),  # how often it was begun
)


class Slate:
    """One slate. Its tables are made when it is first looked at."""

    def __init__(self, home: Path | None = None, url: str | None = None) -> None:
        """home : of the file, if there is no `url` of a database on a server; without either it is
        in memory, for one process alone.
        """
        self._where = PostgresDatabase(url) if url else SqliteFile((home or Path()) / NAME)
        self._is_file = url is None
        self._engine = self._in_memory() if url is None and home is None else self._opened()
        self._lock = Lock()
        self._made = False

    @contextmanager
    def turn(self) -> Iterator[Connection]:
        """One transaction, and nobody else at the slate meanwhile: all of it is kept, or none.

        To be left soon; no other transaction may be waited for within. Raises StoreError where it
        cannot be had.
        """
        try:
            with self._lock, self._engine.begin() as connection:
                if not self._made:
                    _tables.create_all(connection)
                yield connection
            self._made = True
        except DatabaseError as exc:
            raise self._where.in_words(exc, writing=True) from exc

    def now_s(self, connection: Connection) -> float:
        """Seconds since 1970 by the one clock that all have: a server's own, as those of several
        computers differ.
        """
        if self._is_file:
            return time.time()
        return float(connection.scalar(text("SELECT extract(epoch FROM clock_timestamp())")) or 0)

    def close(self) -> None:
        """Close its connection."""
        self._engine.dispose()

    def _opened(self) -> Engine:
        if isinstance(self._where, PostgresDatabase):
            engine = self._where.engine(kept_open=1, more=0)
        else:
            engine = create_engine(
                f"sqlite:///{self._where.path}",
                connect_args={"timeout": WAIT_FOR_LOCK_S, "isolation_level": None},
                hide_parameters=True,
            )
            event.listen(engine, "connect", _unhurried)
        event.listen(engine, "begin", self._begin)
        return engine

    def _in_memory(self) -> Engine:
        engine = create_engine(
            "sqlite://",
            poolclass=StaticPool,
            connect_args={"check_same_thread": False, "isolation_level": None},
        )
        event.listen(engine, "begin", self._begin)
        return engine

    def _begin(self, connection: Connection) -> None:
        if self._is_file:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            return
        connection.execute(text("SET LOCAL synchronous_commit = off"))
        connection.execute(text(f"SELECT pg_advisory_xact_lock({SLATES_TURN})"))


def _unhurried(connection: object, _record: object) -> None:
    """Whole after a kill and after a power cut, which may take the last changes with it (SQLite's
    documentation of `synchronous`).
    """
    for pragma in ("journal_mode=WAL", "synchronous=NORMAL"):
        connection.execute(f"PRAGMA {pragma}")  # type: ignore[attr-defined]
