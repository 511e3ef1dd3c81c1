"""One HTML file that needs nothing beside it: it opens from the disk, without a network.

Its own script is allowed by its hash (Content-Security-Policy 3, 2.3.1), so that nothing that was
written in a brief can become another.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from fastapi.responses import Response

from brief.places import web_folder
from brief.store.records import Brief


@dataclass(frozen=True)
class Inlined:
    """What stands in the file instead of beside it. head : what its script reads of the brief."""

    style: str
    script: str
    script_hash: str
    head: Mapping[str, Any] = field(default_factory=dict)


def inlined(styles: Sequence[str], script: str, head: Mapping[str, Any] | None = None) -> Inlined:
    """styles : paths below web/static. script : its text."""
    folder = web_folder() / "static"
    return Inlined(
        style="".join((folder / name).read_text(encoding="utf-8") for name in styles),
        script=script,
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        head=head or {},
    )


def script_text(name: str) -> str:
    """A script of web/static/js."""
    return (web_folder() / "static" / "js" / name).read_text(encoding="utf-8")


def file_name(brief: Brief, what: str) -> str:
    """What the file is called, such as "frets.html"; letters and digits of any script, so that any
    disk takes it.
    """
    plain = re.sub(r"\W+", "-", brief.title).strip("-")[:60]
    return f"{plain or 'brief'}-{what}"


def as_download(data: bytes | str, name: str, media_type: str = "text/html") -> Response:
    """An answer that a browser saves as a file of this name."""
    return Response(
        data,
        media_type=media_type,
        headers={
            "Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}",
            "Cache-Control": "no-store",
        },
    )
