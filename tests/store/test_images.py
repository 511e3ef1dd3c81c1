"""Image files: whole or not there, once each, and gone again when nothing came of them."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from pathlib import Path

import pytest
from sqlalchemy.exc import IntegrityError

from brief.errors import NotFound, StoreError
from brief.store.databases import sqlite_file
from brief.store.desk import Store
from brief.store.pictures.images import ImageStore
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


def test_a_damaged_file_is_put_right_when_the_good_one_comes_again(images: ImageStore) -> None:
    """And what was made of the damaged one is made again."""
    sha256, _ = images.keep(DATA)
    images.path(sha256).write_bytes(b"8 bytes!" + DATA[8:])
    assert images.sound_bytes(sha256) is None
    assert (
        images.rendition(sha256, "thumb.jpg", lambda place: place.read_bytes()[:8]) == b"8 bytes!"
    )
    assert images.keep(DATA) == (sha256, False)
    assert images.sound_bytes(sha256) == DATA
    assert images.rendition(sha256, "thumb.jpg", lambda place: place.read_bytes()[:8]) == DATA[:8]


@pytest.mark.parametrize(
    "name", ["/etc/hostname", "../../etc/hostname", "AB" * 32, "ab" * 32 + "\n"]
)
def test_a_name_that_is_no_hash_makes_no_path(images: ImageStore, name: str) -> None:
    for ask in (images.place, images.holds, images.path, images.sound_bytes, images.forget):
        with pytest.raises(StoreError, match="which is not the 64 hex digits of a SHA-256"):
            ask(name)
    with pytest.raises(StoreError, match="hex digits"):
        images.rendition(name, "thumb.jpg", Path.read_bytes)


@pytest.mark.skipif(os.name == "nt", reason="Windows cannot flush a folder, and need not")
def test_the_folder_is_on_disk_before_an_image_counts_as_kept(
    images: ImageStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """POSIX: that of a renamed file its new name is on disk only once its folder was flushed."""
    done: list[object] = []
    flush, replace = os.fsync, os.replace

    def flushed(descriptor: int) -> None:
        folder = stat.S_ISDIR(os.fstat(descriptor).st_mode)
        done.append(Path(os.readlink(f"/proc/self/fd/{descriptor}")) if folder else "file")
        flush(descriptor)

    def replaced(part: str, place: Path) -> None:
        done.append("named")
        replace(part, place)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(os, "replace", replaced)
    sha256, _ = images.keep(DATA)
    folder = images.path(sha256).parent
    assert done[-3:] == ["file", "named", folder]
    assert done[:-3] == [tmp_path, tmp_path / "images", tmp_path / "images" / "originals"]


def test_a_file_system_that_cannot_flush_folders_keeps_images_all_the_same(
    images: ImageStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    flush = os.fsync

    def flushed(descriptor: int) -> None:
        if stat.S_ISDIR(os.fstat(descriptor).st_mode):
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        flush(descriptor)

    monkeypatch.setattr(os, "fsync", flushed)
    assert images.keep(DATA)[1]


def test_an_image_that_is_not_there_is_not_found(images: ImageStore) -> None:
    with pytest.raises(NotFound, match=r"not in the image folder any more\. Add the same file"):
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
    monkeypatch.setattr(sqlite_file, "WAIT_FOR_LOCK_S", 0)
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


def test_of_renditions_without_end_the_newest_are_kept(images: ImageStore) -> None:
    for at, name in enumerate(("body-1.glb", "body-2.glb", "body-3.glb", "page.jpg")):
        images.keep_rendition(SHA256_ABC, name, DATA)
        os.utime(next(images.renditions.rglob(name)), (at, at))
    images.keep_newest(SHA256_ABC, "body-*.glb", 2)
    assert _files(images.renditions) == ["body-2.glb", "body-3.glb", "page.jpg"]
    assert images.kept_rendition(SHA256_ABC, "body-1.glb") is None
