"""What a maker's SVG file draws, read as a stranger's file: outlines, and nothing else of it.

Nothing of the file itself is kept or shown. Expat hands over one tag at a time, so that a file
made to exhaust memory is refused before a tree of it exists. What can act, or points outside the
file, is refused and not skipped, so that the maker knows; what merely is not drawn is skipped.
Reads SVG 2 (W3C, 2018): basic shapes and paths, nested transforms, fill and stroke as attributes,
as `style` and as the plain style sheets that drawing programs write.
"""

from __future__ import annotations

from brief.errors import InputError
from brief.instrument.inlay.svg.outlines import Drawn, Outline
from brief.instrument.inlay.svg.path_data import path_runs
from brief.instrument.inlay.svg.showing import shown
from brief.instrument.inlay.svg.tags import HeardTags

MAX_CHARACTERS = 1_000_000


def read_svg(text: str) -> Drawn:
    """The shapes of an SVG document, or of path data alone, whose unit then is the millimetre.

    Raises
    ------
    InputError
        In the maker's words, for a file that is no SVG, holds what can act or points elsewhere, is
        too large or too deep, or draws no outline.
    """
    if len(text) > MAX_CHARACTERS:
        raise InputError(
            f"This drawing has {len(text):,} characters; at most {MAX_CHARACTERS:,} are read. "
            "Simplify its paths in your drawing program, and save it as plain SVG."
        )
    stripped = text.strip().lstrip("\ufeff").strip()
    if not stripped:
        raise InputError("The drawing is empty. Choose an SVG file, or paste path data.")
    if stripped[0] in "Mm":
        runs = path_runs(stripped)
        return Drawn([Outline(runs, (1, 0, 0, 1, 0, 0), "stuff", even_odd=True)])
    if stripped[0] != "<":
        raise InputError(
            "This is neither an SVG file, which begins with <, nor path data, which begins "
            "with M. Save the drawing as SVG and choose that file."
        )
    return shown(HeardTags(stripped))
