"""The faces of the pages: those that the PDFs carry, as WOFF2.

They come from the installed font packages, cut down to the Latin letters of Europe; letters beyond
them are in whatever face the system has. Cutting takes some seconds, so that it is done once for a
user of this computer.
"""

from __future__ import annotations

import hashlib
import io
from contextlib import suppress
from functools import cache
from pathlib import Path

from fastapi.responses import Response
from platformdirs import user_cache_path

from brief.api.bundles import FOR_GOOD
from brief.api.routing import Router
from brief.errors import NotFound, quoted
from brief.letters import Font, font_file
from brief.store.files import write_whole

router = Router(include_in_schema=False)

FACES: dict[str, Font] = {"serif": "Serif", "serif-italic": "SerifItalic", "sans": "Sans"}
# Where a variable font is kept variable, and where it stays: bold is used of the sans alone.
AXES: dict[str, dict[str, float | tuple[float, float]]] = {
    "serif": {"wght": 400, "opsz": 14},
    "serif-italic": {"wght": 400, "opsz": 14},
    "sans": {"wght": (400, 700), "wdth": 100},
}
# Basic Latin to Latin Extended-A; the punctuation, arrows and marks that pages are written with.
LETTERS = (
    *range(0x20, 0x180), 0x192, 0x2C6, 0x2DC, *range(0x2010, 0x2040), 0x2044, 0x20AC, 0x2116,
    *range(0x2190, 0x2194), 0x2212, 0x2248, 0x2260, 0x2264, 0x2265, 0x25CB, 0x25CF, 0x25D0, 0x2715,
)  # fmt: skip
FEATURES = ["kern", "liga", "tnum", "lnum", "mark", "mkmk", "ccmp", "locl", "frac"]


@router.get("/static/faces/{name}.woff2")
def face(name: str) -> Response:
    """One face of the pages."""
    if name not in FACES:
        raise NotFound(f"There is no face {quoted(name[:40])}.")
    return Response(woff2(name), media_type="font/woff2", headers={"Cache-Control": FOR_GOOD})


@cache
def woff2(name: str) -> bytes:
    """A face as WOFF2 (W3C), from the cache of this user if it was made before."""
    source = font_file(FACES[name])
    stamp = f"{source.stat().st_size} {sorted(AXES[name].items())} {LETTERS} {FEATURES}"
    made_of = hashlib.sha256(stamp.encode()).hexdigest()[:16]
    kept = user_cache_path("luthiers-brief") / f"{name}-{made_of}.woff2"
    try:
        return kept.read_bytes()
    except OSError:
        made = _made(source, AXES[name])
        with suppress(OSError):  # a cache that takes nothing is no fault
            write_whole(kept, made)
        return made


def _made(source: Path, axes: dict[str, float | tuple[float, float]]) -> bytes:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    options = Options()
    options.hinting = False
    options.layout_features = FEATURES
    cut = Subsetter(options)
    cut.populate(unicodes=LETTERS)
    written = io.BytesIO()
    with TTFont(source, lazy=True) as font:
        cut.subset(font)
        instantiateVariableFont(font, axes, inplace=True)
        font.flavor = "woff2"
        font.save(written)
    return written.getvalue()
