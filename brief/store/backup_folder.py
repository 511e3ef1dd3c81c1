"""The folder of a backup while one is made: by one at a time, and cleared up after it."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from brief.errors import StoreError
from brief.store.databases.copies import DATABASE, MARK
from brief.store.files import PART, make_folder
from brief.store.pictures.images import half_written

IMAGES = "images"
LOCK = "backup.lock"  # stays in the folder, for who removes it might remove another’s


def holds_anything(folder: Path) -> bool:
    """Whether it holds more than what a backup or a restore that was killed left."""
    return any(one.name != LOCK and not one.name.startswith(PART) for one in folder.iterdir())


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """One backup into a folder at a time; of one that fails, take away what only it made.

    SQLite locks the file, as it does a home, and lets go of it however the process ends.
    """
    was_there = folder.exists()
    make_folder(folder)
    lock = folder / LOCK
    lock.touch()
    with closing(sqlite3.connect(lock, timeout=0, isolation_level=None)) as held:
        try:
            held.execute("PRAGMA journal_mode = OFF")  # it has nothing to undo
            held.execute("BEGIN IMMEDIATE")
        except sqlite3.OperationalError as exc:
            raise StoreError(
                f"another backup into {folder} is being made, so nothing was copied ({exc}); try "
                "again when it has ended"
            ) from exc
        new = [one for name in (MARK, IMAGES, DATABASE) if not (one := folder / name).exists()]
        try:
            yield
        except BaseException:
            for made in new:
                shutil.rmtree(made) if made.is_dir() else made.unlink(missing_ok=True)
            if not was_there:
                with suppress(OSError):  # something else was put into it
                    lock.unlink()
                    folder.rmdir()
            raise


@contextmanager
def part_of(folder: Path) -> Iterator[Path]:
    """A folder in the backup's own, for what is not whole yet."""
    for half in list(half_written(folder)):
        half.unlink(missing_ok=True)
    for left in folder.glob(f"{PART}*"):  # of a backup that was killed
        shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(dir=folder, prefix=PART, ignore_cleanup_errors=True) as part:
        yield Path(part)
