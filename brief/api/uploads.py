"""Files as they arrive: read within the limit, and faults said of the file they lie in."""

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import UploadFile

from brief.errors import FieldFault, ImageError, TooLarge
from brief.photo.files import MAX_BYTES, called, too_many_bytes


def contents(file: UploadFile) -> tuple[str, bytes]:
    """The name and the bytes of an uploaded file; TooLarge before a large one is read."""
    name = file.filename or "picture"
    if file.size is not None and file.size > MAX_BYTES:
        raise too_many_bytes(called(name))
    return name, file.file.read()


@contextmanager
def in_file(pointer: str) -> Iterator[None]:
    """Say of a picture's error that it lies in the file at `pointer`."""
    try:
        yield
    except (ImageError, TooLarge) as exc:
        exc.faults = exc.faults or (FieldFault(pointer, str(exc)),)
        raise
