"""A file that a command was asked to write."""

from __future__ import annotations

from pathlib import Path

from brief.errors import InputError


def write_file(out: Path, data: bytes) -> None:
    """Write it, over what was there. Raises InputError if it cannot be written."""
    try:
        out.write_bytes(data)
    except OSError as exc:
        raise InputError(f"{out} cannot be written: {exc.strerror}") from exc
