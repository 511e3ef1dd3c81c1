"""How much of a bucket's originals lies beside the program: no more than was said, the latest used.

What is a copy can be had again, so that any may go. One that was used a moment ago stays: whoever
was told where it is may be about to open it.
"""

from __future__ import annotations

import logging
import os
import time
from contextlib import suppress
from pathlib import Path
from threading import Lock

from brief.errors import InputError, quoted
from brief.store.files import SHA256, all_files

log = logging.getLogger(__name__)

SETTING = "BRIEF_COPIES_MB"
USUAL_MB = 4000
SPARED_S = 600.0
LEFT = 0.9  # of what may be there, so that not each new one has all of them looked at


def most_bytes() -> int:
    """What the setting allows. Raises InputError for what is no such number."""
    said = os.environ.get(SETTING, "").strip() or str(USUAL_MB)
    if not said.isdecimal() or not said.isascii() or not 1 <= int(said) <= 10**9:
        raise InputError(
            f"{SETTING} must be a whole number of megabytes, 1 or more, that copies of a bucket’s "
            f"pictures may take; got {quoted(said)}"
        )
    return int(said) * 10**6


class Copies:
    """The copies in a folder. Several processes may have the same; each sees to the bound."""

    def __init__(self, folder: Path, most: int) -> None:
        """most : bytes that they may take."""
        self._folder, self._most = folder, most
        self._bytes: int | None = None  # as far as this process knows; None before it looked
        self._looking = Lock()

    def used(self, place: Path) -> None:
        """Remember that one was asked for."""
        with suppress(OSError):  # gone, or on a disk that only reads
            os.utime(place)

    def added(self, size: int) -> dict[str, int]:
        """Make room after one of that size came; the sizes of those that went, by SHA-256."""
        if not self._looking.acquire(blocking=False):
            return {}
        try:
            if self._bytes is not None:
                self._bytes += size
            if self._bytes is None or self._bytes > self._most:
                return self._make_room()
            return {}
        finally:
            self._looking.release()

    def _make_room(self) -> dict[str, int]:
        there: list[tuple[float, int, Path]] = []
        for place in all_files(self._folder):
            try:
                found = place.stat()
            except OSError:  # gone since
                continue
            if SHA256.fullmatch(place.name):
                there.append((found.st_mtime, found.st_size, place))
        self._bytes = sum(size for _, size, _ in there)
        gone: dict[str, int] = {}
        if self._bytes <= self._most:
            return gone
        spared = time.time() - SPARED_S
        for used, size, place in sorted(there):
            if self._bytes <= LEFT * self._most or used > spared:
                break
            try:
                place.unlink(missing_ok=True)
            except OSError as exc:
                log.warning("A copy of a picture could not be let go: %s", exc)
                continue
            gone[place.name] = size
            self._bytes -= size
        return gone
