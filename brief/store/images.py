"""Image files: stored once under the SHA-256 of their bytes, renditions made once."""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

from brief.errors import NotFound, StoreError
from brief.store.files import place_of, sound_bytes, text_of, write_whole

log = logging.getLogger(__name__)


class ImageStore:
    """A folder of images.

    `originals/ab/abcd...` holds what was given, untouched; `renditions/ab/abcd.../name` holds
    what was made of it and can be made again; `unnamed/DAY/abcd...` what no record names.
    """

    def __init__(self, root: Path) -> None:
        self.originals = root / "originals"
        self.renditions = root / "renditions"
        self.unnamed = root / "unnamed"
        self._suspect: set[str] = set()

    def keep(self, data: bytes) -> tuple[str, bool]:
        """Store `data`; returns its SHA-256 and whether it is new here.

        A file that is there already is looked into, and put right if it is damaged.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        place = self.place(sha256)
        is_new = not place.exists()
        if is_new or sound_bytes(place) is None:
            _write(place, data)
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
            _write(place, made)
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

    def _made_of(self, sha256: str) -> Path:
        return place_of(self.renditions, sha256)


def _changed(place: Path) -> int:
    try:
        return place.stat().st_mtime_ns
    except FileNotFoundError:
        return 0


def _write(place: Path, data: bytes) -> None:
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
