"""What a document that is to be attached is: told from its bytes and by opening it, never from its
name alone.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import PurePosixPath, PureWindowsPath

from brief.errors import ImageError, InputError, TooLarge, quoted
from brief.photo import check_photo
from brief.services.common.field_types import clean_line

MOST_BYTES = 20 * 2**20
MOST_PAGES = 500
TAIL_BYTES = 1024  # within which a PDF says its end: ISO 32000-1, annex H.3, from memory
PDF = "application/pdf"
# RFC 8118 has the registered name; ISO 32000-2, 7.5.2, the header, from the first byte here: what
# has other things before it may be two kinds of file at once.
_BEGINS = {
    b"%PDF-": (PDF, "a PDF", ("pdf",)),
    b"\x89PNG\r\n\x1a\n": ("image/png", "a PNG", ("png",)),
    b"\xff\xd8\xff": ("image/jpeg", "a JPEG", ("jpg", "jpeg", "jpe")),
}
_CALLED = {suffix: what for _, what, suffixes in _BEGINS.values() for suffix in suffixes}
READ = "Attach a PDF, a PNG or a JPEG."


@dataclass(frozen=True)
class Attached:
    """A document. name : of its file, without any folder. width, height : of a picture in pixels,
    of a PDF's first page in points.
    """

    name: str
    media_type: str
    pages: int
    width: int
    height: int


def look_at(name: str, data: bytes) -> Attached:
    """What the file is. Raises TooLarge beyond 20 MB or 500 pages, ImageError for what is none of
    the kinds that are kept, is not what its name says, or cannot be opened.
    """
    called = bare_name(name)
    if len(data) > MOST_BYTES:
        raise TooLarge(
            f"{quoted(called)} is larger than the {MOST_BYTES // 2**20} MB that are kept. Save it "
            "smaller, or attach the pages that you need."
        )
    found = next((told for start, told in _BEGINS.items() if data.startswith(start)), None)
    suffix = called.rpartition(".")[2].casefold() if "." in called else ""
    if found is None:
        raise ImageError(f"{quoted(called)} is none of the kinds that are kept. {READ}")
    media_type, what, suffixes = found
    if suffix and suffix not in suffixes:
        said = _CALLED.get(suffix, f"a file of the kind “.{suffix[:12]}”")
        raise ImageError(
            f"{quoted(called)} is called {said} and is {what}. Give it its right ending, if you "
            "know where it comes from."
        )
    if media_type != PDF:
        facts = check_photo(data, name=called)
        return Attached(called, media_type, 1, facts.width, facts.height)
    pages, width, height = _pages_of(called, data)
    return Attached(called, media_type, pages, width, height)


def bare_name(name: str) -> str:
    """The last piece of a file's name, whichever system's folders are in it."""
    last = PurePosixPath(PureWindowsPath(name).name).name
    name = clean_line(last).strip()[:200]
    return name if name.strip(".") else "document"


def _pages_of(name: str, data: bytes) -> tuple[int, int, int]:
    """How many pages a PDF has, and the size of the first, in points."""
    from pypdf import PdfReader  # wanted by few requests

    with _opening(name):
        if b"%%EOF" not in data[-TAIL_BYTES:]:
            raise ValueError("it is cut short")
        reader = PdfReader(BytesIO(data))
        if reader.is_encrypted and not reader.decrypt(""):
            raise InputError("it asks for a password")
        count = len(reader.pages)
        if not count:
            raise InputError("it has no pages")
        if count > MOST_PAGES:
            raise TooLarge(f"{quoted(name)} has {count} pages; at most {MOST_PAGES} are kept.")
        for page in reader.pages:
            page.get_contents()
        box = reader.pages[0].mediabox
        sides = (box.width, box.height)  # its corner may lie anywhere
        width, height = (max(1, min(round(abs(float(one))), 100_000)) for one in sides)
    return count, width, height


@contextmanager
def _opening(name: str) -> Iterator[None]:
    """Raise whatever the reader says of a file that it cannot open as ImageError."""
    from pypdf.errors import DependencyError, PyPdfError

    # What it puts right by itself is no news here. For good, since files come in at the same time.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        yield
    except TooLarge:
        raise
    except DependencyError as exc:
        raise ImageError(
            f"{quoted(name)} is encrypted. Print it into a new PDF, and attach that."
        ) from exc
    except InputError as exc:
        raise ImageError(
            f"{quoted(name)} cannot be attached: {exc}. Save it again without, then attach that."
        ) from exc
    except (PyPdfError, ArithmeticError, AttributeError, LookupError, TypeError, ValueError,
            OSError, RecursionError, NotImplementedError, MemoryError) as exc:  # fmt: skip
        raise ImageError(
            f"{quoted(name)} begins like a PDF and cannot be opened as one: it is damaged or cut "
            "short. Save it again from where it came."
        ) from exc
