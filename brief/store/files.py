"""Files that are whole or not there, and still there after the power fails."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from brief.errors import StoreError

PART = ".part-"  # how the name of a file begins that is not whole yet
SHA256 = re.compile("[0-9a-f]{64}")
# A folder that cannot be flushed: some network and FAT drivers say so and do it by themselves.
UNFLUSHED = {errno.EINVAL, errno.ENOTSUP}


def place_of(root: Path, sha256: str) -> Path:
    """Where under `root` the file of that SHA-256 is. Raises StoreError for any other text, which
    could name a file anywhere.
    """
    return Path(text_of(root, sha256))


def text_of(root: Path, sha256: str) -> str:
    """The same as text, which is several times as quick, for who asks of all that there are."""
    if not SHA256.fullmatch(sha256):
        raise StoreError(
            f"The database names a picture “{sha256[:80]}”, which is not the 64 hex digits of a "
            "SHA-256. See what else is wrong with: brief check"
        )
    return os.path.join(root, sha256[:2], sha256)


def sound_bytes(place: Path) -> bytes | None:
    """What the file holds, if it is there and is what its name, a SHA-256, says."""
    try:
        data = place.read_bytes()
    except OSError:  # not there, or on a bad sector
        return None
    return data if hashlib.sha256(data).hexdigest() == place.name else None


def write_whole(place: Path, data: bytes) -> None:
    """Write so that `place` holds all of `data` or is as it was, whatever happens.

    Raises OSError.
    """
    make_folder(place.parent)
    descriptor, name = tempfile.mkstemp(dir=place.parent, prefix=PART)
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, place)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    sync_folder(place.parent)


def all_files(folder: Path) -> Iterator[Path]:
    """Whatever is in a folder and those below it."""
    for above, _, names in os.walk(folder):
        yield from (Path(above) / name for name in names)


def make_folder(folder: Path) -> None:
    """The folder with those above it, each of them on disk. Raises OSError."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)


def sync_file(file: Path) -> None:
    """Have what was written into a file on disk. Raises OSError."""
    with file.open("rb+") as opened:
        os.fsync(opened.fileno())


@contextmanager
def in_words(folder: Path, *, full: str) -> Iterator[None]:
    """Raise what a disk refuses within as StoreError.

    full : what follows where it is full, and what to do.
    """
    try:
        yield
    except OSError as exc:
        if exc.errno == errno.ENOSPC:
            raise StoreError(f"the disk of {folder} is full, so {full}") from exc
        raise StoreError(f"{folder} cannot be read or written: {exc.strerror}") from exc


def sync_folder(folder: Path) -> None:
    """Have the names in a folder on disk: a renamed file is found after a power cut only then.

    Windows has no such call, and keeps its own journal of names.
    """
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    except OSError as exc:
        if exc.errno not in UNFLUSHED:
            raise
    finally:
        os.close(descriptor)
