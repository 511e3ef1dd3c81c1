"""A file that a command was asked to write."""

from __future__ import annotations

from pathlib import Path
from typing import TypeVar

from brief.errors import InputError, quoted

Form = TypeVar("Form", bound=str)


def form_of(out: Path, forms: tuple[Form, ...]) -> Form:
    """Which of the forms ("pdf") the ending of a file asks for. Raises InputError for another."""
    for form in forms:
        if out.suffix.lower() == f".{form}":
            return form
    endings = " or ".join(f".{form}" for form in forms)
    raise InputError(f"--out ends with {endings}; got {quoted(out.name)}")


def write_file(out: Path, data: bytes) -> None:
    """Write it, over what was there. Raises InputError if it cannot be written."""
    try:
        out.write_bytes(data)
    except OSError as exc:
        raise InputError(f"{out} cannot be written: {exc.strerror}") from exc
