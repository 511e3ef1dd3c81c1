"""Image files: whole or not there, once each, and gone again when nothing came of them."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from brief.errors import NotFound, StoreError
from brief.store import database as database_module
from brief.store.desk import Store
from brief.store.images import ImageStore
from brief.store.records import Motif

DATA = b"pixels " * 1000
# From memory: FIPS 180-4 example, SHA-256 of "abc".
SHA256_ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.fixture
def images(tmp_path: Path) -> ImageStore:
    return ImageStore(tmp_path / "images")


def _files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


def _keep_and_fail(store: Store, *images: bytes) -> None:
    with store.desk(writing=True) as desk:
        for data in images:
            desk.keep_image(data)
        raise ZeroDivisionError


def test_an_image_is_kept_untouched_under_its_hash(images: ImageStore, tmp_path: Path) -> None:
    sha256, is_new = images.keep(b"abc")
    assert (sha256, is_new) == (SHA256_ABC, True)
    assert images.path(sha256).read_bytes() == b"abc"
    assert _files(tmp_path) == [SHA256_ABC]


def test_the_same_bytes_are_kept_once(images: ImageStore, tmp_path: Path) -> None:
    first = images.keep(DATA)
    assert images.keep(DATA) == (first[0], False)
    assert _files(tmp_path) == [first[0]]


def test_an_image_that_is_not_there_is_not_found(images: ImageStore) -> None:
    with pytest.raises(NotFound, match=r"file is not in the image folder any more\. Put it back"):
        images.path("0" * 64)


@pytest.mark.parametrize("step", ["fsync", "replace", "mkstemp"])
def test_a_full_disk_leaves_nothing_behind(
    images: ImageStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    def full(*_args: object, **_kwargs: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("tempfile.mkstemp" if step == "mkstemp" else f"os.{step}", full)
    with pytest.raises(StoreError, match=r"disk is full, so nothing was saved"):
        images.keep(DATA)
    assert _files(tmp_path) == []
    monkeypatch.undo()
    assert images.keep(DATA)[1]


def test_any_other_failure_to_write_says_where_and_why(
    images: ImageStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_args: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(os, "replace", refused)
    with pytest.raises(StoreError, match=r"image folder: .*\. Nothing was saved"):
        images.keep(DATA)
    assert _files(tmp_path) == []


def test_being_stopped_halfway_leaves_nothing_behind(
    images: ImageStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_args: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stopped)
    with pytest.raises(KeyboardInterrupt):
        images.keep(DATA)
    assert _files(tmp_path) == []


def test_a_rendition_is_made_once(images: ImageStore) -> None:
    sha256, _ = images.keep(DATA)
    asked: list[Path] = []

    def make(original: Path) -> bytes:
        asked.append(original)
        return original.read_bytes()[:7]

    first = images.rendition(sha256, "thumb.jpg", make)
    second = images.rendition(sha256, "thumb.jpg", make)
    assert first == second == b"pixels "
    assert asked == [images.path(sha256)]


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_a_rendition_that_cannot_be_kept_is_made_all_the_same(
    images: ImageStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog, code: int
) -> None:
    sha256, _ = images.keep(DATA)

    def refused(*_args: object, **_kwargs: object) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr("tempfile.mkstemp", refused)
    for _ in range(2):
        assert images.rendition(sha256, "thumb.jpg", lambda path: path.read_bytes()[:7]) == DATA[:7]
    assert _files(tmp_path) == [sha256]
    assert f"is made anew each time it is looked at: [Errno {code}]" in caplog.text
    monkeypatch.undo()
    images.rendition(sha256, "thumb.jpg", lambda path: path.read_bytes()[:7])
    assert "thumb.jpg" in _files(tmp_path)


def test_a_rendition_of_nothing_is_not_found(images: ImageStore, tmp_path: Path) -> None:
    with pytest.raises(NotFound, match="is not in the image folder"):
        images.rendition("0" * 64, "thumb.jpg", Path.read_bytes)
    assert _files(tmp_path) == []


def test_a_rendition_that_cannot_be_made_leaves_nothing(images: ImageStore, tmp_path: Path) -> None:
    sha256, _ = images.keep(DATA)

    def fails(_original: Path) -> bytes:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        images.rendition(sha256, "thumb.jpg", fails)
    assert _files(tmp_path) == [sha256]


def test_a_transaction_undone_takes_its_new_images_away(store: Store, home: Path) -> None:
    with store.desk(writing=True) as desk:
        desk.keep_image(b"kept before")
    with pytest.raises(ZeroDivisionError):
        _keep_and_fail(store, DATA, b"kept before")
    assert _files(home / "images") == [hashlib.sha256(b"kept before").hexdigest()]


def test_a_transaction_that_cannot_be_committed_takes_its_images_away(
    store: Store, home: Path
) -> None:
    def fails() -> None:
        with store.desk(writing=True) as desk:
            desk.keep_image(DATA)
            desk.session.add(Motif(brief_id="nowhere", name="reed", says=""))

    with pytest.raises(IntegrityError, match="FOREIGN KEY"):
        fails()
    assert _files(home / "images") == []


def test_images_are_taken_away_before_another_writer_can_rely_on_them(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database_module, "WAIT_FOR_LOCK_S", 0)
    store = Store(home)
    forgotten = []

    def forget(sha256: str) -> None:
        with pytest.raises(StoreError, match="busy with another change"), store.desk(writing=True):
            pass
        forgotten.append(sha256)

    monkeypatch.setattr(store.images, "forget", forget)
    with pytest.raises(ZeroDivisionError):
        _keep_and_fail(store, DATA)
    assert forgotten == [hashlib.sha256(DATA).hexdigest()]
    store.close()
