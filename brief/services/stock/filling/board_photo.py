"""One photograph of a stock, measured in a process that knows no database."""

from __future__ import annotations

import hashlib
import logging
from dataclasses import dataclass
from pathlib import Path

from brief.errors import BriefError
from brief.photo import check_photo, rendition
from brief.photo.files.header import MAX_BYTES, PhotoFacts, called, too_many_bytes
from brief.services.common.field_types import Columns
from brief.services.photos.findings import measured
from brief.services.photos.pictures import THUMB_PX
from brief.services.photos.shot_correction import CorrectedDraft

log = logging.getLogger(__name__)

# What nobody said of a merchant's photograph.
NOTHING_ASKED: Columns = {
    "selections": [],
    "surround_region": None,
    "scale_points": None,
    "scale_mm": None,
    "grain_line": None,
}


@dataclass(frozen=True)
class Looked:
    """What came of one file.

    sha256 : of its bytes; empty if they could not be read. reason : why it could not be measured;
    empty if it was, or need not be. measured : as a Photograph has it, but for its cells; None
    unless it was measured now. picture, facts : what is kept of it.
    """

    file: str
    sha256: str = ""
    reason: str = ""
    measured: Columns | None = None
    picture: bytes = b""
    facts: PhotoFacts | None = None


@dataclass(frozen=True)
class Read:
    """The bytes of one file with their SHA-256, or the reason why they could not be read."""

    sha256: str = ""
    data: bytes = b""
    reason: str = ""


def read_board(path: Path, file: str) -> Read:
    """Read a file whose name in its folder is `file`."""
    if not _is_text(file):
        return Read(reason="Its name is not text in UTF-8. Rename it.")
    try:
        if path.is_dir():
            return Read(reason="It is a folder, shut or linked. Name it by itself.")
        if path.exists() and not path.is_file():
            return Read(reason="It is no file.")  # reading a pipe would never end
        if path.stat().st_size > MAX_BYTES:
            return Read(reason=_line(too_many_bytes(called(path.name))))
        data = path.read_bytes()
    except OSError as exc:
        return Read(reason=f"It cannot be read: {exc.strerror or exc}.")
    return Read(hashlib.sha256(data).hexdigest(), data)


def look_at_board(file: str, sha256: str, data: bytes, keep: bool) -> Looked:
    """Measure a photograph.

    keep : whether the photograph itself is kept, or a small one. What cannot be measured is told
    by its reason; one that the program stumbles over, too, or it would keep all behind it from
    being measured.
    """
    name = file.rpartition("/")[2]
    try:
        facts = check_photo(data, name=name)
        asked = {**dict(CorrectedDraft()), **NOTHING_ASKED}
        found = measured(data, name, asked, by_itself=True)
        picture = data if keep else rendition(data, within=THUMB_PX, name=name)
    except BriefError as exc:
        return Looked(file, sha256, reason=_line(exc))
    except MemoryError:
        return Looked(file, sha256, reason="There was too little memory for it. Try fewer at once.")
    except Exception as exc:
        log.exception("a photograph of a stock could not be measured")
        return Looked(file, sha256, reason=f"Something went wrong with it: {type(exc).__name__}.")
    del found["cells"]  # most of what was found; worked out of the picture again if it is wanted
    if not keep:
        facts = check_photo(picture)
    return Looked(file, sha256, measured=found, picture=picture, facts=facts)


def _line(exc: BriefError) -> str:
    return " ".join(str(exc).split())


def _is_text(name: str) -> bool:
    """Whether a name can be kept; one that a file system has in another code cannot."""
    return not any("\ud800" <= letter <= "\udfff" for letter in name)
