"""Image files: stored once under the SHA-256 of their bytes, renditions made once."""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import shutil
import stat
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from brief.errors import NotFound, StoreError
from brief.store.files import (
    PART,
    SHA256,
    all_files,
    make_folder,
    place_of,
    sound_bytes,
    sync_folder,
    text_of,
    write_whole,
)

log = logging.getLogger(__name__)


DAY_S = 24 * 3600.0


@dataclass(frozen=True)
class Original:
    """An original that is there, whatever names it. size : bytes. age_s : since it was written."""

    sha256: str
    size: int
    age_s: float


class ImageStore:
    """A folder of images.

    `originals/ab/abcd...` holds what was given, untouched; `renditions/ab/abcd.../name` holds
    what was made of it and can be made again; `unnamed/DAY/abcd...` what no record names.
    """

    def __init__(self, root: Path) -> None:
        self.originals = root / "originals"
        self.renditions = root / "renditions"
        self.unnamed = root / "unnamed"
        self.aside_at = str(self.unnamed)  # where what was set aside is, for a sentence
        self._suspect: set[str] = set()

    def keep(self, data: bytes) -> tuple[str, bool]:
        """Store `data`; returns its SHA-256 and whether it is new here.

        A file that is there already is looked into, and put right if it is damaged.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        place = self.place(sha256)
        is_new = not place.exists()
        if is_new or sound_bytes(place) is None:
            write_picture(place, data)
            shutil.rmtree(self._made_of(sha256), ignore_errors=True)  # it may show the damage
        return sha256, is_new

    def place(self, sha256: str) -> Path:
        """Where the original is, or would be. Raises StoreError for what is no SHA-256."""
        return place_of(self.originals, sha256)

    def holds(self, sha256: str) -> bool:
        """Whether the original is here; not whether it is sound."""
        return self.place(sha256).is_file()

    def size(self, sha256: str) -> int | None:
        """Bytes of the original as it is on the disk; None if it is not here. A page asks it of
        every picture of a home, so it is asked once of each.
        """
        try:
            found = os.stat(text_of(self.originals, sha256))
        except OSError:
            return None
        return found.st_size if stat.S_ISREG(found.st_mode) else None

    def path(self, sha256: str) -> Path:
        """Where the original is. Raises NotFound if it is not here."""
        place = self.place(sha256)
        if not place.is_file():
            raise NotFound(
                "The picture’s file is not in the image folder any more. Add the same file again, "
                "or put it back from a backup: brief check --repair --from BACKUP"
            )
        return place

    def sound_bytes(self, sha256: str) -> bytes | None:
        """The original, if it is here and is what was given."""
        return sound_bytes(self.place(sha256))

    def kept_bytes(self, sha256: str) -> bytes | None:
        """The same as it is kept, not as any copy of it is."""
        return self.sound_bytes(sha256)

    def is_kept(self, sha256: str) -> bool:
        """Whether the original itself is there, not any copy of it; not whether it is sound."""
        return self.holds(sha256)

    def suspect(self, sha256: str) -> None:
        """Remember that an original could not be shown."""
        self._suspect.add(sha256)

    def is_damaged(self, sha256: str) -> bool:
        """Whether an original that could not be shown is still not what was given. One that nobody
        has looked at since the program started is not read for this.
        """
        if sha256 in self._suspect and self.sound_bytes(sha256) is not None:
            self._suspect.discard(sha256)
        return sha256 in self._suspect

    def rendition(self, sha256: str, name: str, make: Callable[[Path], bytes]) -> bytes:
        """What `name` holds, made from an original on first asking and kept if that can be."""
        made = self.kept_rendition(sha256, name)
        if made is None:
            made = make(self.path(sha256))
            self.keep_rendition(sha256, name, made)
        return made

    def kept_rendition(self, sha256: str, name: str) -> bytes | None:
        """What `name` holds, if it was made before."""
        try:
            return (self._made_of(sha256) / name).read_bytes()
        except FileNotFoundError:
            return None

    def keep_rendition(self, sha256: str, name: str, made: bytes) -> None:
        """Keep what was made of an original, if that can be."""
        place = self._made_of(sha256) / name
        try:
            write_picture(place, made)
        except StoreError as exc:  # a full or read-only disk hides no picture
            log.warning("%s is made anew each time it is looked at: %s", place, exc.__cause__)

    def keep_newest(self, sha256: str, names: str, most: int) -> None:
        """Delete the oldest renditions of an original whose names fit that pattern, but for `most`
        of them; what somebody else deletes meanwhile is gone as well.
        """
        made = sorted(self._made_of(sha256).glob(names), key=_changed, reverse=True)
        for place in made[most:]:
            place.unlink(missing_ok=True)

    def forget(self, sha256: str) -> None:
        """Take an original away again, when the record that was to show it was not saved."""
        self.place(sha256).unlink(missing_ok=True)

    def claim(self, home_id: str) -> None:
        """See to it that no other home comes to keep its pictures here; in a folder none does."""

    def must_be_of(self, home_id: str) -> None:
        """Raise InputError if they are another home's; in a folder they never are."""

    def drop_copy(self, sha256: str) -> None:
        """Let go of a copy of what is kept elsewhere; in a folder there is none."""

    def ask(self) -> None:
        """See whether it answers, where it is not in the home's own folder."""

    def all_originals(self) -> Iterator[Original]:
        """All that are there."""
        for place in all_files(self.originals):
            if SHA256.fullmatch(place.name):
                try:
                    found = place.stat()
                except OSError:  # gone since
                    continue
                yield Original(place.name, found.st_size, time.time() - found.st_mtime)

    def set_aside(self, sha256: str) -> None:
        """Move an original to those that no record names."""
        today = datetime.now(UTC).date().isoformat()
        _move(self.place(sha256), self.unnamed / today / sha256)

    def aside(self) -> list[str]:
        """The originals that were set aside, by their hashes."""
        return [place.name for place in self._aside()]

    def put_back(self, sha256: str) -> None:
        """Have an original again that was set aside."""
        for place in self._aside():
            if place.name == sha256:
                _move(place, self.place(sha256))
                return

    def empty_old(self, oldest: date) -> None:
        """Delete what was set aside before that day."""
        for folder in self.unnamed.glob("????-??-??"):
            if date.fromisoformat(folder.name) < oldest:
                shutil.rmtree(folder)

    def half_written(self) -> Iterator[Path]:
        """Files of this folder that were not finished, and are too old to be about to be."""
        return half_written(self.originals, self.renditions)

    def _aside(self) -> list[Path]:
        return [place for place in all_files(self.unnamed) if SHA256.fullmatch(place.name)]

    def _made_of(self, sha256: str) -> Path:
        return place_of(self.renditions, sha256)


def _changed(place: Path) -> int:
    try:
        return place.stat().st_mtime_ns
    except FileNotFoundError:
        return 0


def half_written(*folders: Path) -> Iterator[Path]:
    """Files that were not finished, and are too old to be about to be."""
    for folder in folders:
        for place in all_files(folder):
            if place.name.startswith(PART) and _age_s(place) > DAY_S:
                yield place


def _age_s(place: Path) -> float:
    try:
        return time.time() - place.stat().st_mtime
    except OSError:  # finished or gone since
        return 0.0


def _move(place: Path, target: Path) -> None:
    make_folder(target.parent)
    os.replace(place, target)
    sync_folder(target.parent)
    sync_folder(place.parent)


def write_picture(place: Path, data: bytes) -> None:
    """Write a file into the image folder. Raises StoreError."""
    try:
        write_whole(place, data)
    except OSError as exc:
        if exc.errno == errno.ENOSPC:
            raise StoreError(
                "The disk is full, so nothing was saved. Free some space and try again."
            ) from exc
        raise StoreError(
            f"The picture could not be written into the image folder: {exc.strerror}. Nothing was "
            "saved; see to it that this program may write there."
        ) from exc
