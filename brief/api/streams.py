"""Files that are written first and then sent in pieces, so that none is whole in memory."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

AT_ONCE = 2**18  # bytes


def in_turn(file: BinaryIO) -> Iterator[bytes]:
    """The file from where it is read next, in pieces; closed at the end."""
    with file:
        while piece := file.read(AT_ONCE):
            yield piece
