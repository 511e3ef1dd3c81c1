"""The SQLite file: connections, transactions, migrations."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, IntegrityError
from sqlalchemy.orm import Session

from brief.errors import StoreError

if TYPE_CHECKING:
    from alembic.config import Config

MIGRATIONS = Path(__file__).with_name("migrations")
WAIT_FOR_LOCK_S = 20
# What SQLite says of a file it may not write, and what that means for the folder it lies in.
SHUT = {
    "readonly": "read-only to this program",
    "unable to open": "read-only to this program, or not there any more",
}


class Database:
    """One SQLite file, migrated to the newest tables when opened."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.engine = _engine(path)
        self._migrate()

    @contextmanager
    def session(self, *, writing: bool) -> Iterator[Session]:
        """One transaction: undone at the end, unless it was committed.

        A writing one takes the write lock at once, so that what it reads cannot go stale
        before it writes (SQLite would refuse that, and no waiting would help).
        """
        try:
            with (
                self.engine.connect().execution_options(brief_writing=writing) as connection,
                Session(connection, expire_on_commit=False) as session,
            ):
                session.connection()  # begins; SQLAlchemy would wait for the first statement
                yield session
        except IntegrityError:  # a fault of the program, not of the file
            raise
        except DatabaseError as exc:
            raise _in_words(exc, self.path, writing=writing) from exc

    def close(self) -> None:
        """Close all connections."""
        self.engine.dispose()

    def _migrate(self) -> None:
        if self._is_up_to_date():
            return
        # Imported here: it takes as long as a whole command, and most databases need no step.
        from alembic import command
        from alembic.util import CommandError

        config = _config()
        try:
            with self.engine.connect().execution_options(brief_writing=True) as connection:
                config.attributes["connection"] = connection
                command.upgrade(config, "head")
        except CommandError as exc:
            raise StoreError(
                f"{self.path} was written by a newer version of this program, which this "
                f"one cannot read ({exc}); install the newer version"
            ) from exc
        except DatabaseError as exc:
            raise _in_words(exc, self.path, writing=False) from exc

    def _is_up_to_date(self) -> bool:
        """Whether the tables are the newest this program knows; asks without the write lock."""
        try:
            with self.engine.connect() as connection:
                tables = connection.exec_driver_sql(
                    "SELECT name FROM sqlite_master WHERE name = 'alembic_version'"
                )
                if tables.first() is None:
                    return False
                versions = connection.exec_driver_sql("SELECT version_num FROM alembic_version")
                return list(versions.scalars()) == [newest_version()]
        except DatabaseError as exc:
            raise _in_words(exc, self.path, writing=False) from exc


@cache
def newest_version() -> str:
    """The version of the newest tables: what the last migration's file name begins with."""
    return max(step.name for step in (MIGRATIONS / "versions").glob("*.py")).partition("_")[0]


def known_versions() -> set[str]:
    """The versions of the tables that this program can bring up to date."""
    from alembic.script import ScriptDirectory

    return {one.revision for one in ScriptDirectory.from_config(_config()).walk_revisions()}


def _config() -> Config:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    return config


def _engine(path: Path) -> Engine:
    engine = create_engine(
        f"sqlite:///{path}", connect_args={"timeout": WAIT_FOR_LOCK_S, "isolation_level": None}
    )

    @event.listens_for(engine, "connect")
    def _prepare(connection: Any, _record: object) -> None:
        for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
            connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writing = connection.get_execution_options().get("brief_writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _in_words(exc: DatabaseError, path: Path, *, writing: bool) -> StoreError:
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
                f"The folder {path.parent} is {trouble}.{nothing_saved} Let it be written to, or "
                "name another folder with --home or BRIEF_HOME."
            )
    return StoreError(f"The database {path} could not be used: {cause}.{nothing_saved}")
