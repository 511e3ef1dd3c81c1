"""A brief as one HTML file to send by mail: it opens anywhere, from the disk, without a network,
and saves what the reader says as a file of W3C Web Annotations to send back."""

from __future__ import annotations

import base64
import gzip
from dataclasses import dataclass, replace

from brief.api.bundles import script_in_a_file
from brief.api.head_and_gzip import PACKED_AT
from brief.api.html_file import inlined, script_text
from brief.api.templates import Pages
from brief.errors import TooLarge
from brief.services.drawing.body_files import GLB_MEDIA
from brief.services.sharing.guest_pictures import outside_picture, readdressed
from brief.services.sharing.guest_view import outside, spoken_of_in_files
from brief.services.sharing.share_scope import Scope

MAX_BYTES = 10 * 1000 * 1000  # what most mailboxes take, with the third that mail adds
PICTURE_PX = (1200, 900, 640, 400)  # the longest side; the largest that makes the file small enough
TURNED_PX = PICTURE_PX[:2]  # smaller pictures are not worth an instrument that can be turned
STYLES = (
    *("css/paper.css", "css/sheet.css", "css/strands.css"),
    *("css/turning.css", "css/studio.css", "css/guest.css"),
)


@dataclass(frozen=True)
class Reader:
    """Whom the file is for; it is read by whoever has it."""

    name: str = ""
    may_comment: bool = True


def mailed_file(pages: Pages, scope: Scope) -> bytes:
    """What a scope shows as one HTML file of at most MAX_BYTES; the instrument can be turned
    in it where there is room for that.

    Raises TooLarge if it holds too much even with small pictures.
    """
    seen = outside(scope)
    head = {
        "label": f"Comments on {seen.about.label}",
        "partOf": {"id": seen.about.iri, "label": seen.about.label},
        "dcterms:references": spoken_of_in_files(scope),
    }
    beside = inlined(STYLES, script_text("sharing/guest.js") + script_in_a_file(), head)
    ways = [(seen, TURNED_PX)] if seen.turned else []
    for shown, sizes in [*ways, (replace(seen, turned=""), PICTURE_PX)]:
        text = pages.text(
            "guest.html", seen=shown, share=Reader(), revision="", inlined=beside, at=""
        )
        for within in sizes:
            made = _with_pictures(text, scope, within)
            if len(made) <= MAX_BYTES:
                return made
    raise TooLarge(
        f"There is too much in it for one mail: over {MAX_BYTES // 1_000_000} MB even with small "
        "pictures. Show fewer sheets, or send a link."
    )


def _with_pictures(text: str, scope: Scope, within: int) -> bytes:
    known: dict[str, str] = {}

    def as_data(address: str) -> str:
        if address not in known:
            data, media_type = outside_picture(scope, address, within=within)
            if media_type == GLB_MEDIA:  # half of it is numbers that pack well
                data, media_type = gzip.compress(data, PACKED_AT, mtime=0), "application/gzip"
            known[address] = f"data:{media_type};base64,{base64.b64encode(data).decode()}"
        return known[address]

    return readdressed(text, as_data).encode()
