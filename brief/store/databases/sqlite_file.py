"""One SQLite file: how it is opened, how a transaction begins, and what its faults mean."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError

from brief.errors import StoreError

WAIT_FOR_LOCK_S = 20
# What SQLite says of a file it may not write, and what that means for the folder it lies in.
SHUT = {
    "readonly": "read-only to this program",
    "unable to open": "read-only to this program, or not there any more",
}


class SqliteFile:
    """The database that a home has by itself."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __str__(self) -> str:
        return str(self.path)

    def engine(self) -> Engine:
        """Connections to it."""
        engine = create_engine(
            f"sqlite:///{self.path}",
            connect_args={"timeout": WAIT_FOR_LOCK_S, "isolation_level": None},
            hide_parameters=True,  # what somebody wrote is not for the log
        )

        @event.listens_for(engine, "connect")
        def _prepare(connection: Any, _record: object) -> None:
            for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
                connection.execute(f"PRAGMA {pragma}")

        return engine

    def options(self, *, writing: bool) -> dict[str, Any]:
        """Of a connection, for a transaction."""
        return {}

    def begin(self, connection: Connection, *, writing: bool) -> None:
        """Begin a transaction. A writing one takes the write lock at once, so that what it reads
        cannot go stale before it writes (SQLite would refuse that, and no waiting would help).
        """
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    def migrated(self, connection: Connection) -> None:
        """What is left to do once the tables are the newest: nothing."""

    def in_words(self, exc: DatabaseError, *, writing: bool) -> StoreError:
        """What is said of a fault; who was only reading is not told that nothing was saved."""
        cause = str(exc.orig)
        nothing_saved = " Nothing was saved." if writing else ""
        if "full" in cause:
            what = "nothing was saved" if writing else "the brief cannot be opened"
            return StoreError(f"The disk is full, so {what}. Free some space and try again.")
        if "locked" in cause:
            return StoreError(f"The brief is busy with another change.{nothing_saved} Try again.")
        for sign, trouble in SHUT.items():
            if sign in cause:
                return StoreError(
                    f"The folder {self.path.parent} is {trouble}.{nothing_saved} Let it be written "
                    "to, or name another folder with --home or BRIEF_HOME."
                )
        return StoreError(f"The database {self.path} could not be used: {cause}.{nothing_saved}")
