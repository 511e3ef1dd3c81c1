"""Transactions: all or nothing, one writer at a time, and times that keep their zone."""

from __future__ import annotations

import sqlite3
import threading
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy import Connection, event, text
from sqlalchemy.exc import IntegrityError, OperationalError

from brief.errors import StoreError
from brief.store.databases import sqlite_file
from brief.store.databases.database import Database
from brief.store.databases.sqlite_file import SqliteFile
from brief.store.desk import Store
from brief.store.records import Brief, Motif


def _brief(**fields: object) -> Brief:
    known = {"title": "Marsh", "theme": "", "instrument": "", "kind": "", "show": ""}
    return Brief(**{**known, **fields})


def test_a_database_keeps_what_was_committed_through_a_restart(home: Path) -> None:
    store = Store(home)
    with store.desk(writing=True) as desk:
        desk.session.add(_brief(id="B1"))
    store.close()
    store = Store(home)
    with store.desk() as desk:
        assert desk.session.get_one(Brief, "B1").title == "Marsh"
    store.close()


def test_a_desk_reads_a_record_once(store: Store) -> None:
    with store.desk(writing=True) as desk:
        desk.session.add(_brief(id="B1"))
    with store.desk() as desk:
        asked: list[str] = []
        engine = desk.session.get_bind()
        event.listen(engine, "before_cursor_execute", lambda *told: asked.append(told[2]))
        for _ in range(3):
            assert desk.session.get_one(Brief, "B1").title == "Marsh"  # and held by nobody here
        assert len([one for one in asked if one.startswith("SELECT")]) == 1


def test_an_exception_undoes_the_whole_transaction(store: Store) -> None:
    def fails() -> None:
        with store.desk(writing=True) as desk:
            desk.session.add(_brief(id="B1"))
            desk.session.flush()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    with store.desk() as desk:
        assert desk.session.get(Brief, "B1") is None


@pytest.mark.parametrize(
    ("pragma", "value"),
    [("foreign_keys", 1), ("journal_mode", "wal"), ("synchronous", 2)],  # 2 is FULL
)
def test_every_connection_is_set_up_alike(
    home: Path, monkeypatch: pytest.MonkeyPatch, pragma: str, value: object
) -> None:
    """Source: sqlite.org/pragma.html."""
    ours = SqliteFile.engine.__wrapped__  # type: ignore[attr-defined]  # without what tests leave out
    monkeypatch.setattr(SqliteFile, "engine", ours)
    store = Store(home)
    for writing in (False, True):
        with store.desk(writing=writing) as desk:
            assert desk.session.scalar(text(f"PRAGMA {pragma}")) == value
    store.close()


def test_a_record_cannot_point_at_nothing(store: Store) -> None:
    with (
        pytest.raises(IntegrityError, match="FOREIGN KEY constraint failed"),
        store.desk(writing=True) as desk,
    ):
        desk.session.add(Motif(brief_id="nowhere", name="reed", says=""))


def test_a_writing_transaction_takes_the_lock_at_once(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_file, "WAIT_FOR_LOCK_S", 0)
    store = Store(home)
    with store.desk(writing=True):
        with (
            pytest.raises(StoreError, match=r"busy with another change\. Nothing was saved"),
            store.desk(writing=True),
        ):
            pass
        with store.desk() as reading:  # who only reads need not wait
            assert reading.session.scalar(text("SELECT count(*) FROM briefs")) == 0
    store.close()


def test_a_reading_transaction_sees_one_moment(store: Store) -> None:
    with store.desk() as reading:
        before = reading.session.scalar(text("SELECT count(*) FROM briefs"))
        with store.desk(writing=True) as writing:
            writing.session.add(_brief())
        assert reading.session.scalar(text("SELECT count(*) FROM briefs")) == before == 0
    with store.desk() as reading:
        assert reading.session.scalar(text("SELECT count(*) FROM briefs")) == 1


def test_writers_in_several_threads_wait_for_one_another(store: Store) -> None:
    with store.desk(writing=True) as desk:
        desk.session.add(_brief(id="B1", theme=""))

    def lengthen() -> None:
        for _ in range(5):
            with store.desk(writing=True) as desk:
                desk.session.get_one(Brief, "B1").theme += "x"

    threads = [threading.Thread(target=lengthen) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.desk() as desk:
        assert desk.session.get_one(Brief, "B1").theme == "x" * 20


@pytest.mark.parametrize(
    "given",
    [
        datetime(2027, 5, 14, 9, 30, 15, 250_000, tzinfo=UTC),
        datetime(2027, 5, 14, 23, 59, tzinfo=timezone(timedelta(hours=-9, minutes=-30))),
        datetime(2028, 2, 29, 0, 0, tzinfo=timezone(timedelta(hours=14))),
    ],
)
def test_a_moment_comes_back_as_the_same_moment_in_utc(store: Store, given: datetime) -> None:
    with store.desk(writing=True) as desk:
        desk.session.add(_brief(id="B1", created_utc=given))
    with store.desk() as desk:
        kept = desk.session.get_one(Brief, "B1").created_utc
    assert kept == given
    assert kept.utcoffset() == timedelta(0)


def test_each_change_raises_the_version(store: Store) -> None:
    versions = []
    for title in ("one", "two", "three"):
        with store.desk(writing=True) as desk:
            brief = desk.session.get(Brief, "B1") or _brief(id="B1")
            brief.title = title
            desk.session.add(brief)
            desk.session.flush()
            versions.append(brief.version)
    assert versions == [1, 2, 3]


def test_a_full_disk_is_said_in_words_and_nothing_is_kept(store: Store) -> None:
    def fails() -> None:
        with store.desk(writing=True) as desk:
            _allow_no_more_pages(desk.session.connection())
            desk.session.add(_brief(id="B1", theme="mud " * 20_000))

    with pytest.raises(StoreError, match=r"disk is full, so nothing was saved"):
        fails()
    with store.desk() as desk:
        assert desk.session.get(Brief, "B1") is None


def _allow_no_more_pages(connection: Connection) -> None:
    """Source: sqlite.org/pragma.html#pragma_max_page_count; then SQLite answers SQLITE_FULL."""
    pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")


@pytest.mark.parametrize(
    ("cause", "said"),
    [
        ("database or disk is full", "The disk is full, so the brief cannot be opened. Free"),
        ("database is locked", "The brief is busy with another change. Try again"),
        ("attempt to write a readonly database", "is read-only to this program. Let it"),
        ("unable to open database file", "read-only to this program, or not there any more"),
        ("disk I/O error", "could not be used: disk I/O error"),
    ],
)
def test_who_only_reads_is_not_told_that_nothing_was_saved(
    store: Store, cause: str, said: str
) -> None:
    def fails(*, writing: bool) -> str:
        with pytest.raises(StoreError) as caught, store.desk(writing=writing):
            raise OperationalError("SELECT", {}, sqlite3.OperationalError(cause))
        return str(caught.value)

    assert said in fails(writing=False)
    assert "saved" not in fails(writing=False)
    assert "othing was saved" in fails(writing=True)


def test_a_database_that_may_not_be_written_says_what_to_do(store: Store, home: Path) -> None:
    """Source: sqlite.org/pragma.html#pragma_query_only; SQLite then answers SQLITE_READONLY."""

    def fails() -> None:
        with store.desk(writing=True) as desk:
            desk.session.connection().exec_driver_sql("PRAGMA query_only = ON")
            desk.session.add(_brief(id="B1"))
            desk.session.flush()

    with pytest.raises(
        StoreError, match=r"read-only to this program\. Nothing was saved"
    ) as caught:
        fails()
    assert f"The folder {home} " in str(caught.value)
    assert "or name another folder with --home or BRIEF_HOME" in str(caught.value)


def test_any_other_fault_of_the_database_is_said_with_its_cause(store: Store) -> None:
    with (
        pytest.raises(StoreError, match=r"could not be used: no such table: shed") as caught,
        store.desk(writing=True) as desk,
    ):
        desk.session.execute(text("SELECT * FROM shed"))
    assert isinstance(caught.value.__cause__, OperationalError)


def test_a_home_that_cannot_be_made_is_said_in_words(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file stands here")
    with pytest.raises(StoreError, match=r"The folder .*taken.* could not be made"):
        Store(tmp_path / "taken")


def test_closing_leaves_the_database_whole_in_one_file(home: Path) -> None:
    store = Store(home)
    with store.desk(writing=True) as desk:
        desk.session.add(_brief())
    store.close()
    assert [path.name for path in home.glob("brief.sqlite3*")] == ["brief.sqlite3"]
    database = Database(home / "brief.sqlite3")
    with database.session(writing=False) as session:
        assert session.scalar(text("SELECT count(*) FROM briefs")) == 1
    database.close()
