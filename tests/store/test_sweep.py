"""What a killed program leaves behind is set aside, and nothing that anything still names."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from brief.api.app import create_app
from brief.services import nouns, offcuts
from brief.services.history.revisions import RevisionDraft
from brief.services.photos.pictures import keep_picture
from brief.services.theme.briefs import BriefDraft
from brief.services.theme.references import ReferenceFacts
from brief.settings import Settings
from brief.store.backup import back_up
from brief.store.check import check
from brief.store.databases.copies import DATABASE
from brief.store.desk import Store

DAY_S = 24 * 3600
NAMED, LEFT = (1, 2, 3), (200, 100, 50)


@pytest.fixture
def named(store: Store, picture) -> str:
    """A picture that a record names, as old as anything."""
    with store.desk(writing=True) as desk:
        sha256 = keep_picture(desk, "reeds.png", picture(NAMED)).sha256
    age(store.images.path(sha256))
    return sha256


@pytest.fixture
def left(store: Store, picture) -> Callable[..., Path]:
    """An original whose record was never saved, two days old."""

    def made(colour: tuple[int, int, int] = LEFT, days: float = 2) -> Path:
        sha256, _ = store.images.keep(picture(colour))
        return age(store.images.path(sha256), days)

    return made


def age(place: Path, days: float = 2) -> Path:
    then = time.time() - days * DAY_S
    os.utime(place, (then, then))
    return place


def aside(home: Path) -> list[str]:
    return [one.name for one in (home / "images" / "unnamed").rglob("*") if one.is_file()]


@pytest.mark.folder
def test_what_nothing_names_is_set_aside_after_a_day(store, home, named, left) -> None:
    orphan, young = left(), left((9, 9, 9), days=0.9)
    store.sweep()
    assert not orphan.exists()
    assert young.exists()
    assert aside(home) == [orphan.name]
    assert store.images.holds(named)


def test_half_written_files_are_deleted_after_a_day(store, home, named) -> None:
    folder = store.images.path(named).parent
    shown = home / "images" / "renditions" / named[:2] / named
    shown.mkdir(parents=True)
    old = [folder / ".part-old", shown / ".part-old"]
    new = [folder / ".part-new", shown / ".part-new"]
    for place in (*old, *new):
        place.touch()
    for place in old:
        age(place)
    store.sweep()
    assert [place.exists() for place in (*old, *new)] == [False, False, True, True]


@pytest.mark.folder
def test_it_is_swept_when_the_program_starts(home, store, named, left) -> None:
    orphan = left()
    create_app(Settings(home=home)).state.store.close()
    assert not orphan.exists()


def test_what_the_offcuts_bin_or_a_revision_names_stays(store, home, named, picture) -> None:
    with store.desk(writing=True) as desk:
        brief = nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        one, other = (
            nouns.references.add_picture(desk, brief.id, "a.png", picture(c), ReferenceFacts())
            for c in ((7, 7, 7), (8, 8, 8))
        )
        frozen = nouns.revisions.add(desk, RevisionDraft(brief_id=brief.id))
        for reference in (one, other):
            offcuts.remove(desk, nouns.references, reference.id, "*")
        kept = [one.image_sha256, other.image_sha256]
        # As if only the revision's own document still named it.
        frozen_id, gone = frozen.id, kept[1]
    connection = sqlite3.connect(home / DATABASE)
    with connection:
        connection.execute('DELETE FROM "references" WHERE image_sha256 = ?', [gone])
        connection.execute("DELETE FROM images WHERE sha256 = ?", [gone])
        (document,) = connection.execute(
            "SELECT document FROM revisions WHERE id = ?", [frozen_id]
        ).fetchone()
    connection.close()
    assert gone in document
    for sha256 in kept:
        age(store.images.path(sha256))
    store.sweep()
    assert aside(home) == []
    assert all(store.images.holds(sha256) for sha256 in kept)
    assert [one.kind for one in check(home).findings] == []


def test_a_database_that_names_no_picture_sweeps_nothing(store, home, left) -> None:
    """It may be an empty one in place of one that was lost."""
    orphan = left()
    store.sweep()
    assert orphan.exists()
    assert [one.kind for one in check(home, repair=True).findings] == ["lost"]
    assert orphan.exists()


def test_a_backup_opened_as_a_home_is_not_swept(store, home, named, left, tmp_path) -> None:
    """Earlier copies in it may name what the newest does not."""
    back_up(home, tmp_path / "stick")
    orphan = left()
    place = tmp_path / "stick" / orphan.relative_to(home)
    place.parent.mkdir(parents=True, exist_ok=True)
    shutil.copy2(orphan, place)
    stick = Store(tmp_path / "stick")
    stick.sweep()
    stick.close()
    assert check(tmp_path / "stick", repair=True).findings == []
    assert place.exists()


@pytest.mark.folder
def test_what_is_named_again_is_put_back(store, home, named, left) -> None:
    """The database may have been put back by some days, and then the newer one returns."""
    place = store.images.path(named)
    day = home / "images" / "unnamed" / "2027-05-14"
    day.mkdir(parents=True)
    shutil.move(place, day / named)
    left()
    store.sweep()
    assert store.images.sound_bytes(named) is not None
    assert named not in aside(home)


@pytest.mark.folder
def test_only_repair_deletes_and_only_after_a_month(store, home, named, picture) -> None:
    today = datetime.now(UTC).date()
    for days, colour in ((31, (1, 1, 1)), (29, (2, 2, 2))):
        sha256, _ = store.images.keep(picture(colour))
        folder = home / "images" / "unnamed" / (today - timedelta(days=days)).isoformat()
        folder.mkdir(parents=True)
        shutil.move(store.images.path(sha256), folder)
    store.sweep()
    assert len(aside(home)) == 2
    assert check(home).set_aside == 2
    assert check(home, repair=True).set_aside == 1
    assert len(aside(home)) == 1


@pytest.mark.folder
def test_a_home_that_cannot_be_swept_now_opens_all_the_same(
    store, named, left, monkeypatch, caplog
) -> None:
    orphan = left()

    def refused(*_args: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "replace", refused)
    store.sweep()
    assert "was not swept" in caplog.text
    assert orphan.exists()


@pytest.mark.parametrize(
    ("pictures", "emptied", "said"),
    [
        (0, False, None),
        (0, True, r"was emptied \(0 bytes\)\. If you had briefs here"),
        (1, False, "is empty, and 1 picture is beside it"),
        (2, True, "is empty, and 2 pictures are beside it"),
    ],
)
def test_an_empty_database_beside_pictures_is_said(home, picture, pictures, emptied, said) -> None:
    home.mkdir()
    if emptied:
        (home / DATABASE).touch()
    store = Store(home)
    for place in range(pictures):
        store.images.keep(picture((place, place, place)))
    with store.desk(writing=True) as desk:
        found = store.loss(desk)
        assert (found is None) == (said is None)
        if found and said:
            assert re.search(said, found)
            assert f"brief restore BACKUP --home {home.resolve()}" in found
        nouns.briefs.add(desk, BriefDraft(title="Saltmarsh"))
        assert store.loss(desk) is None
    store.close()
