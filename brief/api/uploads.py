"""Files as they arrive: read within the limit, and faults said of the file they lie in."""

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import UploadFile

from brief.errors import FieldFault, ImageError, InputError, TooLarge
from brief.photo.files.header import MAX_BYTES, called, too_many_bytes


def contents(file: UploadFile) -> tuple[str, bytes]:
    """The name and the bytes of an uploaded file; TooLarge before a large one is read."""
    name = _as_it_was_called(file.filename or "picture")
    if file.size is not None and file.size > MAX_BYTES:
        raise too_many_bytes(called(name))
    return name, file.file.read()


def _as_it_was_called(sent: str) -> str:
    """A file's name without the three escapes that forms send (WHATWG HTML, multipart/form-data).

    A line cannot be broken in a name, so that a line break becomes a space.
    """
    return sent.replace("%22", '"').replace("%0D", " ").replace("%0A", " ")


@contextmanager
def in_file(pointer: str) -> Iterator[None]:
    """Say of an error that it lies in the file at `pointer`, unless it lies in another field."""
    try:
        yield
    except InputError as exc:
        # What is wrong with a picture is never the fault of what else was sent.
        if isinstance(exc, ImageError | TooLarge) or not exc.faults:
            exc.faults = (FieldFault(pointer, str(exc)),)
        raise
