"""What is wrong with a home is found, named, and mended where it can be."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import tempfile
import time
from contextlib import closing
from pathlib import Path

import pytest

from brief.errors import InputError, StoreError
from brief.services import nouns
from brief.services.photos.pictures import keep_picture
from brief.services.theme.briefs import BriefDraft
from brief.store import check as check_module
from brief.store.backup import back_up
from brief.store.check import check
from brief.store.databases.copies import DATABASE
from brief.store.desk import Store


@pytest.fixture
def kept(store: Store, picture) -> list[str]:
    """Two pictures of a home with one brief, by their hashes."""
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        return [
            keep_picture(desk, f"{name}.png", picture(colour)).sha256
            for name, colour in (("reeds", (1, 2, 3)), ("sky", (9, 9, 200)))
        ]


def kinds(home: Path, **asked: object) -> list[tuple[str, bool]]:
    return [(one.kind, one.mended) for one in check(home, **asked).findings]


def tree(home: Path) -> dict[str, float]:
    """All files but those that SQLite keeps beside a database that is being read."""
    return {
        str(one): one.stat().st_mtime
        for one in home.rglob("*")
        if one.is_file() and not one.name.endswith(("-shm", "-wal"))
    }


def test_a_sound_home_is_clean_and_stays_untouched(store, home, kept) -> None:
    store.close()
    before = tree(home)
    report = check(home)
    assert (report.findings, report.is_clean) == ([], True)
    assert (report.briefs, report.pictures, report.set_aside) == (1, 2, 0)
    assert report.schema is not None
    assert report.free_bytes > 0
    assert tree(home) == before


def test_missing_and_damaged_pictures_are_named(store, home, kept, spoil) -> None:
    spoil(store, kept[0], Path.unlink)
    spoil(store, kept[1], lambda place: place.write_bytes(b"not the picture"))
    report = check(home)
    assert {(one.kind, one.said, one.about) for one in report.findings} == {
        ("missing", "The file of “reeds.png” is missing.", kept[0]),
        ("damaged", "The file of “sky.png” is damaged.", kept[1]),
    }
    assert all("--repair --from BACKUP" in one.mend for one in report.findings)
    assert not report.is_clean
    assert not check(home, repair=True).is_clean  # out of nothing


def test_repair_takes_pictures_from_a_backup(store, home, kept, tmp_path, spoil) -> None:
    back_up(home, tmp_path / "stick")
    spoil(store, kept[0], Path.unlink)
    spoil(store, kept[1], lambda place: place.write_bytes(b"not the picture"))
    assert sorted(kinds(home)) == [("damaged", False), ("missing", False)]
    report = check(home, repair=True, source=tmp_path / "stick")
    assert report.is_clean
    assert all(one.mended for one in report.findings)
    assert kinds(home) == []


@pytest.mark.folder
def test_a_backup_whose_picture_is_rotten_too_mends_nothing(store, home, kept, tmp_path) -> None:
    back_up(home, tmp_path / "stick")
    for folder in (home, tmp_path / "stick"):
        place = folder / store.images.path(kept[0]).relative_to(home)
        place.write_bytes(b"not the picture")
    assert kinds(home, repair=True, source=tmp_path / "stick") == [("damaged", False)]


def test_leftovers_are_found_and_repaired(store, home, kept, picture) -> None:
    sha256, _ = store.images.keep(picture((5, 5, 5)))
    half = store.images.path(sha256).with_name(".part-x")
    half.touch()
    os.utime(half, (0, time.time() - 2 * 24 * 3600))
    assert kinds(home) == [("unnamed", False), ("half-written", False)]
    report = check(home, repair=True)
    assert (report.is_clean, report.set_aside) == (True, 1)
    assert kinds(home) == []


@pytest.mark.parametrize(
    ("statement", "kind"),
    [
        ("UPDATE alembic_version SET version_num = '9999'", "schema"),
        ("DROP TABLE notes", "schema"),
        ("DROP TABLE alembic_version", "file"),
        ("DROP TABLE briefs", "file"),
        ("CREATE VIEW v AS SELECT * FROM briefs", "schema"),
        ("UPDATE briefs SET numbers = '{'", "record"),
        ("INSERT INTO reference_motifs VALUES ('nowhere', 'nothing')", "keys"),
    ],
)
def test_what_is_wrong_with_the_database_is_said(store, home, kept, statement, kind) -> None:
    store.close()
    with closing(sqlite3.connect(home / DATABASE)) as connection, connection:
        connection.execute(statement)
    report = check(home)
    assert {one.kind for one in report.findings} == {kind}
    assert all("brief restore BACKUP" in one.mend for one in report.findings)
    assert not check(home, repair=True).is_clean


def test_an_older_home_is_no_fault(store, home, kept) -> None:
    store.close()
    with closing(sqlite3.connect(home / DATABASE)) as connection, connection:
        connection.execute("DROP TABLE homes")
        for column in ("shot_lab", "cut"):
            connection.execute(f"ALTER TABLE materials DROP COLUMN {column}")
        connection.execute("ALTER TABLE materials DROP COLUMN reading_uncertainty")
        connection.execute("ALTER TABLE palettes DROP COLUMN accents")
        connection.execute('ALTER TABLE "references" DROP COLUMN position')
        trip = ("attachments", "things_to_pack", "contacts", "stays", "legs", "stops")
        cost = ("bought_parts", "pieces_used")
        later = ("studio_pictures", "boards", "stocks")
        register = ("doings", "handed_in", "loans", "invitations", "members", "makers", "workshops")
        for column in ("maker", "workshop_id"):
            connection.execute(f"ALTER TABLE sign_ins DROP COLUMN {column}")
        for table in (
            *register,
            "climates",
            "stages",
            "absences",
            "calendar_links",
            *trip,
            *cost,
            *later,
        ):
            connection.execute(f"DROP TABLE {table}")
        run_up = ("opens_on", "travel_days", "papers_days", "week_h")
        terms = ("currency", "hour_rate", "overhead", "margin", "commission", "asking_price")
        for column in (*run_up, *terms, "caption", "stand_price", "stand_list"):
            connection.execute(f"ALTER TABLE briefs DROP COLUMN {column}")
        for column in ("outline_doubt_mm", "outline_edition"):
            connection.execute(f"ALTER TABLE briefs DROP COLUMN {column}")
        sheet = ("sheet", "sheet_corners", "sheet_width_mm", "sheet_height_mm")
        for column in (*sheet, "above_mm", "check_mm", "check_at"):
            connection.execute(f"ALTER TABLE tracings DROP COLUMN {column}")
        for table in ("references", "photographs"):
            for column in ("second_card", "second_card_region", "light"):
                connection.execute(f'ALTER TABLE "{table}" DROP COLUMN {column}')
        connection.execute("UPDATE alembic_version SET version_num = '0020'")
    report = check(home)
    assert (report.schema, report.findings) == ("0020", [])


@pytest.mark.folder
def test_no_database_at_all(home, store, kept) -> None:
    store.close()
    (home / DATABASE).unlink()
    report = check(home)
    assert ([one.kind for one in report.findings], report.briefs) == (["file"], None)
    (home / DATABASE).touch()
    assert "empty (0 bytes)" in check(home).findings[0].said
    (home / DATABASE).write_bytes(b"a shopping list" * 100)
    assert "could not be copied" in check(home).findings[0].said


def test_little_room_on_the_disk_is_said(store, home, kept, monkeypatch) -> None:
    monkeypatch.setattr(check_module, "LITTLE_ROOM", shutil.disk_usage(home).free * 2)
    assert kinds(home) == [("room", False)]


def test_what_cannot_be_looked_at_is_refused(tmp_path, store, home, kept) -> None:
    with pytest.raises(InputError, match="no briefs in"):
        check(tmp_path / "nowhere")
    with pytest.raises(InputError, match="no pictures in"):
        check(home, repair=True, source=tmp_path / "nowhere")


def test_a_full_disk_for_temporary_files_is_said(store, home, kept, monkeypatch) -> None:
    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(check_module, "take_copy", full)
    with pytest.raises(StoreError, match="is full, so nothing was looked at") as caught:
        check(home)
    assert tempfile.gettempdir() in str(caught.value)


@pytest.mark.folder
def test_a_home_that_cannot_be_written_is_not_repaired_and_said(
    store, home, kept, picture, monkeypatch
) -> None:
    sha256, _ = store.images.keep(picture((5, 5, 5)))

    def shut(source: Path, _target: Path) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(source))

    monkeypatch.setattr(os, "replace", shut)
    with pytest.raises(StoreError, match=r"home cannot be read or written: Read-only file system"):
        check(home, repair=True)
    assert store.images.holds(sha256)
