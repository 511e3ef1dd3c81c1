"""A PostgreSQL server of the tests' own, gone when they end, with a database for each who asks.

It listens on a socket in a folder of its own alone, and writes nothing down for sure: a power cut
may take it.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from brief.store.databases.database import Database

if TYPE_CHECKING:
    import psycopg

MISSING = "PostgreSQL is not installed"
SHAPE = """
SELECT md5(string_agg(line, ' ' ORDER BY line)) FROM (
  SELECT concat(attrelid::regclass, attname, atttypid, attnotnull, attnum) AS line
  FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid
  WHERE relnamespace = 'public'::regnamespace AND NOT attisdropped
  UNION ALL SELECT concat(conrelid::regclass, conname, pg_get_constraintdef(oid)) FROM pg_constraint
  UNION ALL SELECT tgname::text FROM pg_trigger UNION ALL SELECT nspname::text FROM pg_namespace
  WHERE nspname !~ '^pg_' UNION ALL SELECT version_num FROM alembic_version
  UNION ALL SELECT id::text FROM homes
) AS lines"""
"""What tells a database that was altered from one whose tables were only written in."""
FILLED = """
SELECT relname FROM pg_class WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace
AND relname NOT IN ('alembic_version', 'homes') AND pg_relation_size(oid) > 0"""
OTHERS = """
SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity
WHERE datname = current_database() AND pid <> pg_backend_pid()"""
QUICK = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_connections=200"


def programs() -> Path | None:
    """Where initdb and pg_ctl are: Debian has them beside no other program."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    debian = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"),
        key=lambda one: int(re.sub(r"\D", "", one.parts[-3]) or 0),
    )
    return debian[-1].parent if debian else None


class Server:
    """A running server. Each database that it makes has all tables, and nothing in them."""

    def __init__(self, folder: Path, run: Callable[..., None], options: str) -> None:
        self.folder = folder
        self._options = f"-k {folder} -c listen_addresses='' {options}"
        self._run = run
        self._numbers = count()
        self._clean: list[str] = []
        self.start()
        self.say("CREATE DATABASE empty")
        Database(self.url("empty")).close()
        ((self._shape,),) = self.say(SHAPE, "empty")

    def start(self) -> None:
        data, log = str(self.folder / "data"), str(self.folder / "log")
        self._run("pg_ctl", "-D", data, "-wsl", log, "-o", self._options, "start")

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-wsm", "immediate", "stop")

    def url(self, database: str) -> str:
        return f"postgresql+psycopg://brief@/{database}?host={self.folder}"

    def database(self) -> str:
        """The name of a new one, or of one that was emptied: making one takes longer than most
        tests."""
        if self._clean:
            return self._clean.pop()
        name = f"home_{next(self._numbers)}"
        self.say(f"CREATE DATABASE {name} TEMPLATE empty STRATEGY file_copy")
        return name

    def take_back(self, name: str) -> None:
        """Empty it for whoever asks next; what was altered goes."""
        with self._at(name) as database:
            database.execute(OTHERS)
            whole = database.execute(SHAPE).fetchone() == (self._shape,)
            filled = [f'"{table}"' for (table,) in database.execute(FILLED)]
            if whole:  # not truncated: that makes each table and index a new file
                emptied = [f"DELETE FROM {table}" for table in filled]
                database.execute("; ".join(["SET session_replication_role = replica", *emptied]))
        if whole:
            self._clean.append(name)
        else:
            self.drop(name)

    def drop(self, name: str) -> None:
        self.say(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")

    def say(self, sentence: str, database: str = "postgres") -> list[tuple[object, ...]]:
        """What one statement answers, outside any transaction."""
        with self._at(database) as connection:
            done = connection.execute(sentence)
            return done.fetchall() if done.description else []

    def _at(self, database: str) -> psycopg.Connection:
        import psycopg

        return psycopg.connect(self.url(database).replace("+psycopg", ""), autocommit=True)


@contextlib.contextmanager
def served(*, quick: bool = True) -> Iterator[Server]:
    """quick : whether a change may be lost that was acknowledged just before it is stopped.

    Raises pytest's skip where there is no PostgreSQL.
    """
    pytest.importorskip("psycopg", reason=MISSING)
    found = programs()
    if found is None:
        pytest.skip(MISSING)
    # A socket's path may have 107 bytes; pytest's own folders are longer.
    folder = Path(tempfile.mkdtemp(prefix="brief-pg-"))
    # It refuses to run as root.
    person = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups"]
    before = person if os.name == "posix" and os.geteuid() == 0 else []
    if before:
        shutil.chown(folder, "postgres", "postgres")

    def run(program: str, *words: str) -> None:
        subprocess.run(
            [*before, str(found / program), *words],
            check=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd=folder,
        )

    try:
        run("initdb", "-D", str(folder / "data"), "-U", "brief", "-A", "trust", "-E", "UTF8",
            "--locale=C.UTF-8", "--no-sync")  # fmt: skip
        server = Server(folder, run, QUICK if quick else "")
        try:
            yield server
        finally:
            server.stop()
    finally:
        shutil.rmtree(folder, ignore_errors=True)
