"""Everything copied into a folder while it is in use, and put back where there is nothing."""

from __future__ import annotations

import errno
import os
import re
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from brief.errors import InputError, StoreError
from brief.services import nouns, offcuts
from brief.services.photos.pictures import keep_picture
from brief.services.theme.briefs import BriefDraft
from brief.store import backup as backup_module
from brief.store.backup import back_up, restore
from brief.store.backup_folder import LOCK
from brief.store.databases import copies as copies_module
from brief.store.databases.copies import (
    DATABASE,
    EARLIER,
    MARK,
    MONTHS,
    NEWEST,
    drop_old,
    earlier_copies,
    put_newest,
)
from brief.store.desk import Store
from brief.store.records import Base


@pytest.fixture
def busy(store: Store, picture) -> Store:
    """A home with two briefs and two pictures, in use."""
    with store.desk(writing=True) as desk:
        for title in ("Saltmarsh", "Low water"):
            nouns.briefs.add(desk, BriefDraft(title=title))
        for colour in ((1, 2, 3), (200, 100, 50)):
            keep_picture(desk, "reeds.png", picture(colour))
    return store


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    return tmp_path / "stick"


def begin(store: Store, title: str) -> None:
    with store.desk(writing=True) as desk:
        nouns.briefs.add(desk, BriefDraft(title=title))


def everything(home: Path) -> dict[str, object]:
    """All rows, and the bytes of all pictures."""
    store = Store(home)
    with store.desk() as desk:
        found: dict[str, object] = {
            table.name: sorted(map(repr, desk.session.execute(select(table)).all()))
            for table in Base.metadata.sorted_tables
        }
    store.close()
    originals = home / "images" / "originals"
    found["files"] = {one.name: one.read_bytes() for one in originals.rglob("*") if one.is_file()}
    return found


def as_it_lies(folder: Path) -> dict[str, bytes]:
    """Every file in a folder."""
    return {
        str(one.relative_to(folder)): one.read_bytes() for one in folder.rglob("*") if one.is_file()
    }


def originals(folder: Path) -> list[Path]:
    return sorted(one for one in (folder / "images" / "originals").rglob("*") if one.is_file())


def run(database: Path, *statements: str) -> None:
    with closing(sqlite3.connect(database)) as connection, connection:
        for statement in statements:
            connection.execute(statement)


def titles(database: Path) -> list[str]:
    with closing(sqlite3.connect(database)) as connection:
        return [one for (one,) in connection.execute("SELECT title FROM briefs ORDER BY id")]


@pytest.mark.folder
def test_out_and_back_is_the_same(busy, home, tmp_path, stick) -> None:
    with busy.desk(writing=True) as desk:  # somebody is just saving
        nouns.briefs.add(desk, BriefDraft(title="not saved yet"))
        desk.session.flush()
        made = back_up(home, stick)
        desk.session.rollback()
    assert (made.briefs, made.pictures, made.copied, made.missing) == (2, 2, 2, [])
    assert (made.faults, made.earlier) == ([], [])
    again = restore(stick, tmp_path / "new" / "home")
    assert (again.briefs, again.pictures, again.copied) == (2, 2, 2)
    assert everything(tmp_path / "new" / "home") == everything(home)
    assert {one.name for one in (tmp_path / "new" / "home").iterdir()} >= {DATABASE, "images"}
    assert [one.name for one in (tmp_path / "new").iterdir()] == ["home"]


def test_a_further_backup_brings_only_what_is_new(busy, home, stick, picture) -> None:
    back_up(home, stick)
    with busy.desk(writing=True) as desk:
        keep_picture(desk, "sky.png", picture((9, 9, 9)))
    made = back_up(home, stick)
    assert (made.pictures, made.copied) == (3, 1)
    (name,) = made.earlier
    with closing(sqlite3.connect(stick / EARLIER / f"{name}.sqlite3")) as before:
        assert before.execute("SELECT count(*) FROM images").fetchone() == (2,)
    assert not [one for one in stick.rglob("*") if one.name.startswith(".part-")]


def test_where_nothing_has_changed_no_copy_is_added(busy, home, stick) -> None:
    back_up(home, stick)
    before = as_it_lies(stick)
    assert back_up(home, stick).earlier == []
    assert as_it_lies(stick) == before


def test_several_copies_are_kept_and_any_of_them_put_back(busy, home, stick, tmp_path) -> None:
    for title in ("Fog", "Heron"):
        back_up(home, stick)
        os.utime(stick / DATABASE, (0, datetime(2027, 5, 14, 9, 30, 15, tzinfo=UTC).timestamp()))
        begin(busy, title)
    made = back_up(home, stick)
    assert made.earlier == ["2027-05-14T09-30-15Z-2", "2027-05-14T09-30-15Z"]
    for name, count in ((None, 4), (made.earlier[0], 3), (made.earlier[1], 2)):
        place = tmp_path / f"of {count}"
        assert restore(stick, place, copy=name).briefs == count
        assert len(titles(place / DATABASE)) == count
    with pytest.raises(InputError, match=r"no copy “may”.*earlier copies: 2027-05-14T09-30-15Z-2"):
        restore(stick, tmp_path / "new", copy="may")


def test_not_every_copy_is_kept_for_ever(stick) -> None:
    """The newest, and of the months before the last one each."""
    days = [datetime(2024, month, 3, tzinfo=UTC) for month in range(1, 13)]
    days += [datetime(2025, month, day, tzinfo=UTC) for month in (1, 2, 3) for day in (4, 5)]
    days += [datetime(2025, 4, day, tzinfo=UTC) for day in range(1, 13)]
    stick.mkdir()
    for at in [*days, datetime(2025, 4, 13, tzinfo=UTC)]:
        taken = stick / "taken"
        taken.write_text(str(at))
        os.utime(taken, (0, at.timestamp()))
        put_newest(stick, taken)
        drop_old(stick)
    kept = earlier_copies(stick)
    assert kept[:NEWEST] == [f"2025-04-{day:02}T00-00-00Z" for day in range(12, 2, -1)]
    assert kept[NEWEST:] == [f"2025-0{month}-05T00-00-00Z" for month in (3, 2, 1)] + [
        f"2024-{month:02}-03T00-00-00Z" for month in range(12, 12 - (MONTHS - 4), -1)
    ]
    assert (stick / DATABASE).read_text() == "2025-04-13 00:00:00+00:00"


def test_the_last_sound_copy_outlives_any_number_of_unsound_ones(
    busy, home, stick, tmp_path, monkeypatch
) -> None:
    newest = 2
    monkeypatch.setattr(copies_module, "NEWEST", newest)
    back_up(home, stick)
    run(home / DATABASE, "UPDATE briefs SET numbers = '{' WHERE title = 'Saltmarsh'")
    for count in range(newest + 2):
        begin(busy, f"Fog {count}")
        made = back_up(home, stick)
        assert made.faults
    assert len(made.earlier) == newest + 1
    assert restore(stick, tmp_path / "new", copy=made.earlier[-1]).briefs == 2
    run(home / DATABASE, "UPDATE briefs SET numbers = '{}' WHERE title = 'Saltmarsh'")
    assert len(back_up(home, stick).earlier) == newest  # the newest is sound again


def test_the_one_copy_that_an_older_version_kept_is_kept_on(busy, home, stick) -> None:
    back_up(home, stick)
    shutil.copy(stick / DATABASE, stick / "brief.sqlite3.before")
    begin(busy, "Heron")
    made = back_up(home, stick)
    assert len(made.earlier) == 2
    assert not (stick / "brief.sqlite3.before").exists()


# What must never replace a backup.


def test_another_home_never_replaces_a_backup(busy, home, stick, tmp_path) -> None:
    back_up(home, stick)
    before = as_it_lies(stick)
    other = Store(tmp_path / "other")
    for _ in range(2):
        with pytest.raises(InputError, match=r"or of this one before it was emptied") as caught:
            back_up(tmp_path / "other", stick)
        assert "2 briefs (“Saltmarsh”, “Low water”)" in str(caught.value)
        assert f"brief restore {stick} --home NEW-FOLDER" in str(caught.value)
    begin(other, "Somebody else’s")
    with pytest.raises(InputError, match=r"of another home: .*holds 1 brief \(“Somebody else’s”\)"):
        back_up(tmp_path / "other", stick)
    other.close()
    assert as_it_lies(stick) == before


@pytest.mark.folder
@pytest.mark.parametrize("by", ["0 bytes", "taken away"])
def test_a_home_that_lost_its_database_never_replaces_its_backup(
    busy, home, stick, tmp_path, by
) -> None:
    back_up(home, stick)
    wanted = everything(home)
    before = as_it_lies(stick)
    busy.close()
    (home / DATABASE).unlink()
    if by == "0 bytes":
        (home / DATABASE).touch()
        with pytest.raises(InputError, match=r"empty \(0 bytes\), so nothing was backed up"):
            back_up(home, stick)
    Store(home).close()  # as a start of the program does
    for _ in range(2):
        with pytest.raises(InputError, match="Nothing was changed"):
            back_up(home, stick)
    assert as_it_lies(stick) == before
    restore(stick, tmp_path / "new")
    assert everything(tmp_path / "new") == wanted


def test_a_home_that_was_put_back_by_a_day_never_replaces_a_later_copy(
    busy, home, stick, tmp_path
) -> None:
    back_up(home, tmp_path / "monday")
    begin(busy, "Heron")
    back_up(home, stick)
    restore(tmp_path / "monday", tmp_path / "again")
    with pytest.raises(InputError, match="with 15 records that this home has lost"):
        back_up(tmp_path / "again", stick)
    assert len(titles(stick / DATABASE)) == 3


def test_a_restored_home_is_the_same_home(busy, home, stick, tmp_path) -> None:
    back_up(home, stick)
    restore(stick, tmp_path / "new")
    moved = Store(tmp_path / "new")
    begin(moved, "Heron")
    moved.close()
    assert back_up(tmp_path / "new", stick).briefs == 3


def test_a_backup_from_before_homes_had_an_id_is_known_by_what_it_holds(
    busy, home, stick, tmp_path
) -> None:
    back_up(home, stick)
    run(
        stick / DATABASE,
        "DROP TABLE homes",
        "ALTER TABLE materials DROP COLUMN shot_lab",
        "ALTER TABLE materials DROP COLUMN reading_uncertainty",
        "UPDATE alembic_version SET version_num = '0020'",
    )
    Store(tmp_path / "other").close()
    with pytest.raises(InputError, match="Nothing was changed"):
        back_up(tmp_path / "other", stick)
    assert back_up(home, stick).briefs == 2


def test_briefs_that_were_removed_are_no_loss_and_said(busy, home, stick) -> None:
    back_up(home, stick)
    with busy.desk(writing=True) as desk:
        offcuts.remove(desk, nouns.briefs, nouns.briefs.page(desk)[0].id, "*")
    made = back_up(home, stick)
    assert (made.briefs, made.fewer, len(made.earlier)) == (1, 1, 1)


def test_a_backup_that_cannot_be_read_is_kept_beside_the_new_one(busy, home, stick) -> None:
    back_up(home, stick)
    (stick / DATABASE).write_bytes(b"a shopping list" * 100)
    made = back_up(home, stick)
    assert (stick / EARLIER / f"{made.earlier[0]}.sqlite3").read_bytes() == b"a shopping list" * 100
    assert len(titles(stick / DATABASE)) == 2


def test_a_backup_that_was_opened_as_a_home_is_one_file_again(busy, home, stick) -> None:
    """What a killed program leaves in its log belongs to the copy, not to what replaces it."""
    back_up(home, stick)
    opened = Store(stick)
    begin(opened, "written on the stick")
    log = (stick / f"{DATABASE}-wal").read_bytes()
    opened.close()
    (stick / f"{DATABASE}-wal").write_bytes(log)
    with pytest.raises(InputError, match="with 15 records that this home has lost"):
        back_up(home, stick)
    assert not (stick / f"{DATABASE}-wal").exists()
    assert "written on the stick" in titles(stick / DATABASE)


def test_nothing_is_overwritten(busy, home, tmp_path, stick) -> None:
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "letter.txt").write_text("dear")
    for wrong in (home, home / "inside", home.parent, mine):
        with pytest.raises(InputError, match=r"lie in each other|holds other things"):
            back_up(home, wrong)
    with pytest.raises(InputError, match="nothing to back up"):
        back_up(tmp_path / "nowhere", stick)
    assert not stick.exists()
    back_up(home, stick)
    for wrong in (home, mine):
        with pytest.raises(InputError, match="already holds something"):
            restore(stick, wrong)
    with pytest.raises(InputError, match="is no backup"):
        restore(mine, tmp_path / "new")
    assert [one.name for one in mine.iterdir()] == ["letter.txt"]


def test_two_first_backups_at_once_leave_one_that_is_whole(
    busy, home, stick, tmp_path, monkeypatch
) -> None:
    def fail(folder: Path, taken: Path) -> None:
        with pytest.raises(StoreError, match=r"another backup into .*stick is being made"):
            back_up(home, stick)
        assert taken.exists()
        (stick / "letter.txt").write_text("dear")
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(backup_module, "put_newest", fail)
    with pytest.raises(StoreError, match=r"stick cannot be read or written"):
        back_up(home, stick)
    assert [one.name for one in stick.iterdir() if one.name != LOCK] == ["letter.txt"]
    (stick / "letter.txt").unlink()
    monkeypatch.undo()
    assert back_up(home, stick).copied == 2


def test_a_backup_that_was_killed_is_in_nobodys_way(busy, home, stick, tmp_path) -> None:
    """As it is left before the first copy is whole: the lock ended with its process."""
    (stick / ".part-x").mkdir(parents=True)
    (stick / ".part-x" / DATABASE).touch()
    (stick / LOCK).touch()
    assert back_up(home, stick).copied == 2
    assert not (stick / ".part-x").exists()
    (tmp_path / "new" / ".part-new").mkdir(parents=True)  # of a restore
    assert restore(stick, tmp_path / "new").copied == 2


# Where it is put back.


@pytest.mark.folder
def test_an_empty_folder_that_cannot_be_replaced_is_moved_into(
    busy, home, stick, tmp_path, monkeypatch
) -> None:
    """As a mount point, or the folder that one is in."""
    back_up(home, stick)
    new = tmp_path / "new"
    new.mkdir()
    monkeypatch.chdir(new)
    assert restore(stick, Path()).copied == 2
    assert not list(new.glob(".part-*"))
    assert Path().resolve().samefile(new)
    assert everything(new) == everything(home)


def test_a_folder_that_was_used_while_a_backup_was_put_back_is_left_alone(
    busy, home, stick, tmp_path, monkeypatch
) -> None:
    back_up(home, stick)
    new = tmp_path / "new"
    new.mkdir()

    def meanwhile(*_args: object) -> list[object]:
        (new / DATABASE).write_text("begun since")
        return []

    monkeypatch.setattr(backup_module, "faults_of", meanwhile)
    with pytest.raises(StoreError, match="not empty"):
        restore(stick, new)
    assert [(one.name, one.read_text()) for one in new.iterdir()] == [(DATABASE, "begun since")]


# Pictures.


def test_a_rotten_picture_is_named_and_the_rest_put_back(busy, home, stick, tmp_path) -> None:
    back_up(home, stick)
    spoilt, sound = originals(stick)
    spoilt.write_bytes(spoilt.read_bytes()[:-1] + b"!")
    made = restore(stick, tmp_path / "new")
    assert (made.briefs, made.copied, made.missing) == (2, 1, [])
    assert (made.damaged, made.names) == ([spoilt.name], {spoilt.name: "reeds.png"})
    assert [one.name for one in originals(tmp_path / "new")] == [sound.name]


def test_a_further_backup_puts_a_rotten_picture_right(busy, home, stick) -> None:
    back_up(home, stick)
    spoilt = originals(stick)[0]
    whole = spoilt.read_bytes()
    spoilt.write_bytes(whole[:-1] + b"!")
    made = back_up(home, stick)
    assert (made.copied, made.healed, made.damaged) == (1, 1, [])
    assert spoilt.read_bytes() == whole


@pytest.mark.folder
def test_a_picture_that_is_bad_on_both_sides_is_named(busy, home, stick) -> None:
    back_up(home, stick)
    for folder in (stick, home):
        originals(folder)[0].write_bytes(b"not the picture")
    made = back_up(home, stick)
    assert made.damaged == [originals(home)[0].name]
    originals(home)[0].unlink()
    assert back_up(home, stick).damaged == made.damaged


@pytest.mark.folder
def test_a_damaged_picture_of_the_home_never_replaces_a_good_one(busy, home, stick) -> None:
    back_up(home, stick)
    before = as_it_lies(stick)
    originals(home)[0].write_bytes(b"not the picture")
    assert back_up(home, stick).damaged == []
    assert as_it_lies(stick) == before


@pytest.mark.folder
def test_a_picture_that_was_lost_before_is_named(busy, home, stick) -> None:
    shutil.rmtree(home / "images" / "originals")
    made = back_up(home, stick)
    assert len(made.missing) == 2
    assert {*made.names.values()} == {"reeds.png"}


# The database.


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (["UPDATE alembic_version SET version_num = '9999'"], "version 9999, which this program"),
        (["DELETE FROM alembic_version"], "version none"),
        (["DROP TABLE notes"], "the table “notes” is missing"),
        (["ALTER TABLE notes DROP COLUMN text"], "the column “text” of notes is missing"),
        (
            ["CREATE TRIGGER t AFTER UPDATE ON briefs BEGIN DELETE FROM briefs; END"],
            "a trigger, “t”",
        ),
        (["CREATE VIEW v AS SELECT * FROM briefs"], "a view, “v”"),
        (
            ["UPDATE briefs SET numbers = '{\"scale_mm\": '"],
            "“numbers” of briefs .* cannot be read",
        ),
        (["UPDATE briefs SET created_utc = 'last May'"], "“created_utc” of briefs .* cannot be"),
        (["UPDATE briefs SET title = x'ff00'"], "“title” of briefs .* cannot be read and 2 more"),
        (["UPDATE images SET width_px = 'wide'"], "“width_px” of images .* cannot be read"),
        (
            ["UPDATE images SET sha256 = '/etc/hostname' WHERE rowid = 1"],
            "“sha256” of images /etc/hostname cannot be read",
        ),
        (
            ["INSERT INTO reference_motifs VALUES ('nowhere', 'nothing')"],
            "points at what is missing in (motifs|references)",
        ),
    ],
)
def test_a_database_that_is_not_sound_is_not_put_back(
    busy, home, stick, tmp_path, spoil, said
) -> None:
    """One step back is offered; nothing is made."""
    back_up(home, stick)
    begin(busy, "Heron")
    (good,) = back_up(home, stick).earlier
    run(stick / DATABASE, *spoil)
    with pytest.raises(StoreError, match=f"nothing was restored, because .*{said}") as caught:
        restore(stick, tmp_path / "new")
    assert f"--copy {good}" in str(caught.value)
    assert {one.name for one in tmp_path.iterdir()} == {"home", "stick"}
    assert restore(stick, tmp_path / "new", copy=good).briefs == 2


def test_a_file_that_is_no_database_is_not_put_back(busy, home, stick, tmp_path) -> None:
    back_up(home, stick)
    (stick / DATABASE).write_bytes(b"a shopping list" * 100)
    with pytest.raises(StoreError, match="could not be copied"):
        restore(stick, tmp_path / "new")
    assert {one.name for one in tmp_path.iterdir()} == {"home", "stick"}


def test_a_database_that_is_not_sound_is_copied_and_said(busy, home, stick) -> None:
    back_up(home, stick)
    run(home / DATABASE, "UPDATE briefs SET numbers = '{'")
    made = back_up(home, stick)
    assert "“numbers” of briefs" in made.faults[0]
    assert len(made.earlier) == 1


def test_a_backup_from_the_first_tables_is_put_back_and_brought_up_to_date(tmp_path, stick) -> None:
    from tests.store.test_first_tables import _to

    stick.mkdir()
    (stick / MARK).touch()
    _to(stick / DATABASE, "0001")
    assert restore(stick, tmp_path / "new").briefs == 0
    Store(tmp_path / "new").close()


# The disk.


@pytest.mark.parametrize("step", ["pictures", "database"])
@pytest.mark.parametrize("was_there", [False, True])
def test_a_full_disk_leaves_no_half_folder(busy, home, stick, monkeypatch, step, was_there) -> None:
    if was_there:
        stick.mkdir()
        (stick / MARK).touch()  # as an older version left it

    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    at = "write_whole" if step == "pictures" else "put_newest"
    monkeypatch.setattr(backup_module, at, full)
    with pytest.raises(StoreError, match=r"the disk of .*stick is full, so nothing was copied"):
        back_up(home, stick)
    assert stick.exists() == was_there
    assert not was_there or {one.name for one in stick.iterdir()} == {MARK, LOCK}
    monkeypatch.undo()
    assert back_up(home, stick).copied == 2


def test_a_full_disk_leaves_the_backup_that_was_there(busy, home, stick, monkeypatch) -> None:
    back_up(home, stick)
    before = as_it_lies(stick)
    begin(busy, "Heron")

    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(shutil, "copy2", full)
    with pytest.raises(StoreError, match="what was there is as it was"):
        back_up(home, stick)
    assert as_it_lies(stick) == before
    assert earlier_copies(stick) == []


@pytest.mark.sqlite
def test_a_copy_that_no_longer_fits_is_told_from_one_that_cannot_be_read(
    tmp_path, monkeypatch
) -> None:
    """SQLite's own word for it: a file that may have no more pages (PRAGMA max_page_count)."""
    source = tmp_path / "source"
    run(source, "CREATE TABLE things (what)", "INSERT INTO things VALUES (zeroblob(20000))")
    connect = sqlite3.connect

    def short(place: object, **how: bool) -> sqlite3.Connection:
        made = connect(place, **how)
        made.execute("PRAGMA max_page_count = 2")
        return made

    with monkeypatch.context() as patched:
        patched.setattr(sqlite3, "connect", short)
        with pytest.raises(OSError, match=re.escape(os.strerror(errno.ENOSPC))):
            copies_module.snapshot(source, tmp_path / "target")
    with pytest.raises(StoreError, match="could not be copied"):
        copies_module.snapshot(tmp_path / "not there", tmp_path / "other")
