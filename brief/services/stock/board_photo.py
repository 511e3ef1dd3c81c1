"""One photograph of a stock, measured in a process that knows no database."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from brief.errors import BriefError
from brief.photo import check_photo, rendition
from brief.photo.files.header import MAX_BYTES, PhotoFacts, called, too_many_bytes
from brief.services.common.field_types import Columns
from brief.services.photos.findings import measured
from brief.services.photos.pictures import THUMB_PX
from brief.services.photos.shot_correction import CorrectedDraft

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


def look_at_board(path: Path, file: str, known: frozenset[str], *, keep: bool) -> Looked:
    """Measure a photograph, unless it is one of those that are known by their SHA-256.

    keep : whether the photograph itself is kept, or a small one. What cannot be read or measured
    is told by its reason.
    """
    sha256 = ""
    try:
        if path.stat().st_size > MAX_BYTES:
            raise too_many_bytes(called(path.name))
        data = path.read_bytes()
        sha256 = hashlib.sha256(data).hexdigest()
        if sha256 in known:
            return Looked(file, sha256)
        facts = check_photo(data, name=path.name)
        asked = {**dict(CorrectedDraft()), **NOTHING_ASKED}
        found = measured(path, path.name, asked, by_itself=True)
        picture = data if keep else rendition(data, within=THUMB_PX, name=path.name)
    except BriefError as exc:
        return Looked(file, sha256, reason=" ".join(str(exc).split()))
    except OSError as exc:
        return Looked(file, sha256, reason=f"It cannot be read: {exc.strerror or exc}.")
    del found["cells"]  # most of what was found; worked out of the picture again if it is wanted
    if not keep:
        facts = check_photo(picture)
    return Looked(file, sha256, measured=found, picture=picture, facts=facts)
