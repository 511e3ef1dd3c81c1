"""A database on a PostgreSQL server: how it is opened, how a transaction begins, what faults mean.

All that write wait for one another, in whichever process they run, as they do for a SQLite file.
So nothing in the rest of the program has to know which of the two it has: a plain port would lose
changes without an error, since two that read the same value before they write it are both let
through (PostgreSQL's documentation, chapter 13, "Concurrency Control").
"""

from __future__ import annotations

import re
import zlib
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, NoSuchModuleError

from brief.errors import InputError, StoreError

WAIT_FOR_LOCK_S = 20
CONNECT_S = 10
MOST_AT_ONCE = 40  # as many threads as answer requests at once (AnyIO's default)
KEPT_OPEN = 5  # connections between requests
# Any number, the same in every process: whoever holds it is the one who writes.
WRITERS_TURN = 7_215_002
ONE_DRIVER = "postgresql+psycopg"
TURNED_AWAY = {
    "too many clients": "53300",
    "connection slots": "53300",
    "FATAL:  database": "3D000",
    "password": "28",
    "FATAL:  role": "28",
    "pg_hba": "28",
}
HOW = "postgresql+psycopg://USER@HOST/DATABASE"


WORKSHOP = "workshop"
"""In a URL: one of several makers' workshops in that database, each in a schema of its own."""
_WORKSHOP = re.compile(r"[0-9a-f]{10}")


class PostgresDatabase:
    """A database on a server, named by its URL; or one workshop's part of it."""

    def __init__(self, url: str) -> None:
        """Raise InputError for what is no URL of such a database; nothing is opened yet."""
        self.url, workshop = _read(url)
        self.schema = f"{WORKSHOP}_{workshop}" if workshop else None

    def __str__(self) -> str:
        return self.url.render_as_string(hide_password=True)

    def engine(self, kept_open: int | None = None, more: int = MOST_AT_ONCE) -> Engine:
        """Connections to it, so many kept and so many more while they are needed. Raises InputError
        where its driver is not installed.
        """
        if kept_open is None:
            kept_open = 1 if self.schema else KEPT_OPEN  # of workshops many are open at once
        options = f"-c lock_timeout={WAIT_FOR_LOCK_S}s"
        if self.schema:
            options += f" -c search_path={self.schema}"
        try:
            engine = create_engine(
                self.url,
                pool_pre_ping=True,  # a server that was started again is found again
                pool_size=kept_open,
                max_overflow=more,
                hide_parameters=True,  # what somebody wrote is not for the log
                connect_args={
                    "connect_timeout": CONNECT_S,
                    "application_name": "luthiers-brief",
                    "options": options,
                },
            )
        except ImportError as exc:
            raise InputError(
                "a database on a PostgreSQL server needs its driver, which is not installed: "
                'pip install "luthiers-brief[postgres]"'
            ) from exc
        event.listen(engine, "before_cursor_execute", _without_nul, retval=True)
        return engine

    def options(self, *, writing: bool) -> dict[str, Any]:
        """Of a connection. Who reads sees one moment throughout, as in SQLite. Who writes sees
        what is there once the turn has come, not what was there when the waiting began.
        """
        if writing:
            return {"isolation_level": "READ COMMITTED", "postgresql_readonly": False}
        return {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}

    def begin(self, connection: Connection, *, writing: bool) -> None:
        """Have a writing transaction wait for its turn; it lasts until the transaction ends."""
        if writing:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({self._turn})"))

    def make_schema(self) -> None:
        """Make the part of a workshop, in which nothing is yet. Raises StoreError."""
        engine = self.engine(kept_open=0)
        try:
            with engine.begin() as connection:
                connection.execute(text(f"CREATE SCHEMA {self.schema}"))
        except DatabaseError as exc:
            raise self.in_words(exc, writing=True) from exc
        finally:
            engine.dispose()

    def workshops(self) -> tuple[str, ...]:
        """The ids of those that have a part with tables in it. Raises StoreError."""
        engine = self.engine(kept_open=0)
        asked = "SELECT schemaname FROM pg_tables WHERE tablename = 'alembic_version'"
        try:
            with engine.connect() as connection:
                names = [name.partition("_") for name in connection.scalars(text(asked))]
        except DatabaseError as exc:
            raise self.in_words(exc, writing=False) from exc
        finally:
            engine.dispose()
        return tuple(one for of, _, one in names if of == WORKSHOP and _WORKSHOP.fullmatch(one))

    @property
    def _turn(self) -> int:
        """Those who write in one workshop need not wait for those in another."""
        return WRITERS_TURN + (zlib.crc32(self.schema.encode()) << 31 if self.schema else 0)

    def migrated(self, connection: Connection) -> None:
        """Let every reference wait for the end of a transaction where it is asked to, which SQLite
        does for all of them at once.
        """
        fixed = connection.execute(
            text(
                "SELECT conrelid::regclass::text, quote_ident(conname) FROM pg_constraint "
                "WHERE contype = 'f' AND NOT condeferrable "
                "AND connamespace = current_schema()::regnamespace"
            )
        )
        for table, name in fixed.all():
            connection.execute(text(f"ALTER TABLE {table} ALTER CONSTRAINT {name} DEFERRABLE"))

    def in_words(self, exc: DatabaseError, *, writing: bool) -> StoreError:
        """What is said of a fault. The URL's password is in none of it."""
        nothing_saved = " Nothing was saved." if writing else ""
        # SQLSTATEs: PostgreSQL's documentation, appendix A. Who is not let in is told none, only
        # words, in the language of the server; in any other it is as if nobody had answered.
        cause = str(exc.orig).strip().partition("\n")[0]
        state = getattr(exc.orig, "sqlstate", None) or next(
            (state for words, state in TURNED_AWAY.items() if words in cause), "08"
        )
        match state:
            case "55P03":  # lock not available
                return StoreError(
                    f"The brief is busy with another change.{nothing_saved} Try again."
                )
            case "53100":  # disk full
                return StoreError(
                    f"The disk of the database server is full.{nothing_saved} Free some space "
                    "there and try again."
                )
            case "53300":  # too many connections
                return StoreError(
                    f"The database server has no room for one more connection.{nothing_saved} Try "
                    "again, or have it allow more (max_connections)."
                )
            case "3F000":  # no such schema
                return StoreError(f"There is no such workshop in the database {self}.")
            case "3D000":  # no such database
                return StoreError(
                    f"There is no database {self}. Make it on the server (createdb), or name "
                    "another in BRIEF_DATABASE_URL."
                )
        match state[:2]:
            case "28":  # not authorised
                return StoreError(
                    f"The server does not let this program into {self}. See to the user and the "
                    "password in BRIEF_DATABASE_URL, and to what the server allows (pg_hba.conf)."
                )
            case "08" | "57":  # connection; the server is being stopped
                return StoreError(
                    f"The database server cannot be reached: {self}.{nothing_saved} See whether it "
                    "runs, and try again."
                )
        return StoreError(f"The database {self} could not be used: {cause}.{nothing_saved}")


def _without_nul(
    _connection: Connection, _cursor: Any, statement: str, given: Any, _context: Any, _many: bool
) -> tuple[str, Any]:
    """No text there holds a NUL, and asking for one is an error: ask for what is not there either.
    What is written has been cleaned of them before.
    """
    if isinstance(given, dict) and any(
        isinstance(one, str) and "\0" in one for one in given.values()
    ):
        given = {
            name: one.replace("\0", "\N{REPLACEMENT CHARACTER}") if isinstance(one, str) else one
            for name, one in given.items()
        }
    return statement, given


def _read(url: str) -> tuple[URL, str]:
    """The URL without its workshop, and that; "" if it names none."""
    try:
        read = make_url(url)
        sort = read.get_backend_name()
    except (ArgumentError, NoSuchModuleError, ValueError):
        sort = ""
    if sort != "postgresql":
        # Not quoted: it could hold a password.
        raise InputError(
            "that is no address of a PostgreSQL database; write it, in BRIEF_DATABASE_URL or after "
            f"brief carry, as {HOW}; without BRIEF_DATABASE_URL everything is kept in a file"
        )
    if "options" in read.query:
        raise InputError(
            f"that address has options, which this program sets itself; write it as {HOW}"
        )
    if not read.database:
        raise InputError(
            "that address names no database; write it, in BRIEF_DATABASE_URL or after brief "
            f"carry, as {HOW}"
        )
    workshop = read.query.get(WORKSHOP, "")
    if workshop and not (isinstance(workshop, str) and _WORKSHOP.fullmatch(workshop)):
        raise InputError("that address names a workshop that cannot be; it has ten signs, 0-9 a-f")
    plain = read.difference_update_query([WORKSHOP]).set(drivername=ONE_DRIVER)
    return plain, str(workshop)
