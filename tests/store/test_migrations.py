"""The migrations and the tables that the program works with say the same."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from brief.errors import StoreError
from brief.store.databases import sqlite_file
from brief.store.databases.database import Database, known_versions, newest_version
from brief.store.records import Base


def test_migrations_from_empty_make_the_tables_of_the_records(tmp_path: Path) -> None:
    database = Database(tmp_path / "brief.sqlite3")
    with database.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []
    database.close()


def test_a_table_that_no_migration_makes_would_be_noticed(tmp_path: Path) -> None:
    database = Database(tmp_path / "brief.sqlite3")
    with database.engine.connect() as connection:
        connection.exec_driver_sql("DROP TABLE notes")
        context = MigrationContext.configure(connection)
        assert ("add_table", "notes") in [
            (change[0], change[1].name)
            for change in compare_metadata(context, Base.metadata)
            if change[0] == "add_table"
        ]
    database.close()


def test_opening_twice_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "brief.sqlite3"
    Database(path).close()
    before = _schema(path)
    Database(path).close()
    assert _schema(path) == before


def test_the_newest_version_is_the_one_that_all_steps_lead_to(tmp_path: Path) -> None:
    path = tmp_path / "brief.sqlite3"
    Database(path).close()
    assert _run(path, "SELECT version_num FROM alembic_version") == [(newest_version(),)]
    assert newest_version() in known_versions()


def test_what_is_up_to_date_opens_without_a_step_and_beside_a_writer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "brief.sqlite3"
    first = Database(path)
    monkeypatch.setattr(sqlite_file, "WAIT_FOR_LOCK_S", 0)
    with first.session(writing=True):  # Alembic would wait for its lock
        Database(path).close()
    first.close()


def test_a_database_of_a_newer_version_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "brief.sqlite3"
    Database(path).close()
    _run(path, "UPDATE alembic_version SET version_num = '9999'")
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"written by a newer version.*install the newer version"):
        Database(path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_refused_in_words(tmp_path: Path) -> None:
    path = tmp_path / "brief.sqlite3"
    path.write_bytes(b"a shopping list" * 100)
    with pytest.raises(StoreError, match=r"could not be used: file is not a database"):
        Database(path)
    assert path.read_bytes() == b"a shopping list" * 100


def _run(path: Path, statement: str) -> list[tuple[object, ...]]:
    connection = sqlite3.connect(path)
    try:
        found = connection.execute(statement).fetchall()
        connection.commit()
        return found
    finally:
        connection.close()


def _schema(path: Path) -> list[tuple[object, ...]]:
    return _run(path, "SELECT name, sql FROM sqlite_master ORDER BY name")
