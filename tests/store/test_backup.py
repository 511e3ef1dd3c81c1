"""Everything copied into a folder while it is in use, and put back where there is nothing."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import select

from brief.errors import InputError, StoreError
from brief.services import nouns
from brief.services.pictures import keep_picture
from brief.services.theme import BriefDraft
from brief.store.backup import DATABASE, back_up, restore
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


def test_out_and_back_is_the_same(busy, home, tmp_path) -> None:
    with busy.desk(writing=True) as desk:  # somebody is just saving
        nouns.briefs.add(desk, BriefDraft(title="not saved yet"))
        desk.session.flush()
        made = back_up(home, tmp_path / "stick")
        desk.session.rollback()
    assert (made.briefs, made.pictures, made.copied, made.missing) == (2, 2, 2, ())
    again = restore(tmp_path / "stick", tmp_path / "new" / "home")
    assert (again.briefs, again.pictures, again.copied) == (2, 2, 2)
    assert everything(tmp_path / "new" / "home") == everything(home)
    assert {one.name for one in (tmp_path / "new" / "home").iterdir()} >= {DATABASE, "images"}


def test_a_further_backup_brings_only_what_is_new(busy, home, tmp_path, picture) -> None:
    stick = tmp_path / "stick"
    back_up(home, stick)
    with busy.desk(writing=True) as desk:
        keep_picture(desk, "sky.png", picture((9, 9, 9)))
    made = back_up(home, stick)
    assert (made.pictures, made.copied) == (3, 1)
    before = sqlite3.connect(stick / "brief.sqlite3.before")
    assert before.execute("SELECT count(*) FROM images").fetchone() == (2,)
    before.close()
    assert not [one for one in stick.rglob("*") if one.name.startswith(".part-")]


def test_nothing_is_overwritten(busy, home, tmp_path) -> None:
    stick, mine = tmp_path / "stick", tmp_path / "mine"
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


def test_damage_is_noticed_and_leaves_all_as_it_was(busy, home, tmp_path) -> None:
    stick = tmp_path / "stick"
    back_up(home, stick)
    spoilt = next(one for one in (stick / "images").rglob("*") if one.is_file())
    spoilt.write_bytes(b"not the picture")
    with pytest.raises(StoreError, match="damaged; put it back from another copy"):
        restore(stick, tmp_path / "new")
    (stick / DATABASE).write_bytes(b"a shopping list" * 100)
    with pytest.raises(StoreError, match="could not be copied"):
        restore(stick, tmp_path / "new")
    assert not (tmp_path / "new").exists()
    assert {one.name for one in tmp_path.iterdir()} == {"home", "stick"}


def test_a_picture_that_was_lost_before_is_counted(busy, home, tmp_path) -> None:
    shutil.rmtree(home / "images" / "originals")
    assert len(back_up(home, tmp_path / "stick").missing) == 2
