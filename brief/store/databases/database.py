"""The database of a home: transactions, migrations; a file of its own, or one on a server."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, event, inspect, text
from sqlalchemy.exc import DatabaseError, IntegrityError
from sqlalchemy.orm import Session

from brief.errors import StoreError
from brief.store.databases.postgres import PostgresDatabase
from brief.store.databases.sqlite_file import SqliteFile

if TYPE_CHECKING:
    from alembic.config import Config

MIGRATIONS = Path(__file__).parents[1] / "migrations"


class Database:
    """A database, migrated to the newest tables when opened."""

    def __init__(self, where: Path | str) -> None:
        """where : a SQLite file, or the URL of a database on a PostgreSQL server."""
        self.where = SqliteFile(where) if isinstance(where, Path) else PostgresDatabase(where)
        self.engine = self.where.engine()

        @event.listens_for(self.engine, "begin")
        def _begin(connection: Connection) -> None:
            writing = connection.get_execution_options().get("brief_writing", False)
            self.where.begin(connection, writing=writing)

        self._migrate()

    @contextmanager
    def session(self, *, writing: bool) -> Iterator[Session]:
        """One transaction: undone at the end, unless it was committed. Those that write go one
        after another.
        """
        with (
            self._in_words(writing=writing),
            self._connected(writing=writing) as connection,
            Session(connection, expire_on_commit=False) as session,
        ):
            session.connection()  # begins; SQLAlchemy would wait for the first statement
            yield session

    def close(self) -> None:
        """Close all connections."""
        self.engine.dispose()

    @contextmanager
    def _connected(self, *, writing: bool) -> Iterator[Connection]:
        with self.engine.connect() as connection:
            try:
                yield connection.execution_options(
                    brief_writing=writing, **self.where.options(writing=writing)
                )
            except DatabaseError:
                # After a commit that failed it would go back as it is, its transaction still open.
                connection.invalidate()
                raise

    @contextmanager
    def _in_words(self, *, writing: bool) -> Iterator[None]:
        try:
            yield
        except IntegrityError:  # a fault of the program, not of the database
            raise
        except DatabaseError as exc:
            raise self.where.in_words(exc, writing=writing) from exc

    def _migrate(self) -> None:
        if self._is_up_to_date():
            return
        # Imported here: it takes as long as a whole command, and most databases need no step.
        from alembic import command
        from alembic.util import CommandError

        config = _config()
        try:
            with self._in_words(writing=False), self._connected(writing=True) as connection:
                config.attributes["connection"] = connection
                # All of it or nothing, and nobody else meanwhile.
                with connection.begin():
                    command.upgrade(config, "head")
                    self.where.migrated(connection)
        except CommandError as exc:
            raise StoreError(
                f"{self.where} was written by a newer version of this program, which this "
                f"one cannot read ({exc}); install the newer version"
            ) from exc

    def _is_up_to_date(self) -> bool:
        """Whether the tables are the newest this program knows; asks without the write lock."""
        with self._in_words(writing=False), self._connected(writing=False) as connection:
            if not inspect(connection).has_table("alembic_version"):
                return False
            versions = connection.execute(text("SELECT version_num FROM alembic_version"))
            return list(versions.scalars()) == [newest_version()]


def let_references_wait(connection: Connection) -> None:
    """To the end of the transaction: until then a record may name one that comes after it."""
    is_file = connection.dialect.name == "sqlite"
    connection.execute(
        text("PRAGMA defer_foreign_keys = ON" if is_file else "SET CONSTRAINTS ALL DEFERRED")
    )


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
