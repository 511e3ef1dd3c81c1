"""Image files: stored once under the SHA-256 of their bytes, renditions made once."""

from __future__ import annotations

import errno
import hashlib
import logging
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from brief.errors import NotFound, StoreError

log = logging.getLogger(__name__)


class ImageStore:
    """A folder of images.

    `originals/ab/abcd...` holds what was given, untouched; `renditions/ab/abcd.../name` holds
    what was made of it and can be made again.
    """

    def __init__(self, root: Path) -> None:
        self._originals = root / "originals"
        self._renditions = root / "renditions"

    def keep(self, data: bytes) -> tuple[str, bool]:
        """Store `data`; returns its SHA-256 and whether it is new here."""
        sha256 = hashlib.sha256(data).hexdigest()
        place = self._original(sha256)
        if place.exists():
            return sha256, False
        _write_whole(place, data)
        return sha256, True

    def path(self, sha256: str) -> Path:
        """Where the original lies. Raises NotFound if it is not here."""
        place = self._original(sha256)
        if not place.is_file():
            raise NotFound(
                "The picture’s file is not in the image folder any more. Put it back from a copy "
                "of that folder, or remove the picture here."
            )
        return place

    def rendition(self, sha256: str, name: str, make: Callable[[Path], bytes]) -> bytes:
        """What `name` holds, made from an original on first asking and kept if that can be."""
        place = self._renditions / sha256[:2] / sha256 / name
        if place.exists():
            return place.read_bytes()
        made = make(self.path(sha256))
        try:
            _write_whole(place, made)
        except StoreError as exc:  # a full or read-only disk hides no picture
            log.warning("%s is made anew each time it is looked at: %s", place, exc.__cause__)
        return made

    def forget(self, sha256: str) -> None:
        """Take an original away again, when the record that was to show it was not saved."""
        self._original(sha256).unlink(missing_ok=True)

    def _original(self, sha256: str) -> Path:
        return self._originals / sha256[:2] / sha256


def _write_whole(place: Path, data: bytes) -> None:
    """Write so that `place` holds all of `data` or does not exist, whatever happens."""
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        descriptor, name = tempfile.mkstemp(dir=place.parent, prefix=".part-")
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.replace(name, place)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as exc:
        if exc.errno == errno.ENOSPC:
            raise StoreError(
                "The disk is full, so nothing was saved. Free some space and try again."
            ) from exc
        raise StoreError(
            f"The picture could not be written into the image folder: {exc.strerror}. Nothing was "
            "saved; see to it that this program may write there."
        ) from exc
