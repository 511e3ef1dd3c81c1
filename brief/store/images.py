"""Image files: stored once under the SHA-256 of their bytes, renditions made once."""

from __future__ import annotations

import errno
import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from brief.errors import NotFound, StoreError


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
            raise NotFound(f"The image {sha256[:12]}… is not in the image folder.")
        return place

    def rendition(self, sha256: str, name: str, make: Callable[[Path], bytes]) -> Path:
        """The file `name` made from an original, made on first asking."""
        place = self._renditions / sha256[:2] / sha256 / name
        if not place.exists():
            _write_whole(place, make(self.path(sha256)))
        return place

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
        raise StoreError(f"{place} could not be written: {exc.strerror}. Nothing saved.") from exc
