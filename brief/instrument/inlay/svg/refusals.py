"""What in a file can act, points outside it, or hides what it is: each is refused in words.

Nothing of it is skipped in silence, so that the maker knows.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from brief.errors import InputError
from brief.instrument.inlay.svg.style import STYLED
from brief.instrument.inlay.svg.units import short

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
# Each with the way out.
REFUSED = {
    "script": "a script. Save the drawing as plain SVG, without scripts",
    "foreignObject": "a piece of a web page (foreignObject). Delete it and save again",
    "image": "a picture made of pixels. Trace it into paths in your drawing program",
    "text": "text. Turn the text into paths in your drawing program, and save again",
    "iframe": "a piece of a web page. Delete it and save again",
}


def checked_attributes(given: Mapping[str, str], tag: str) -> dict[str, str]:
    """The attributes that belong to SVG, once none of them can act or points elsewhere.

    Raises
    ------
    InputError
        Where one can or does.
    """
    kept: dict[str, str] = {}
    for key, value in given.items():
        space, _, name = key.rpartition(" ")
        if name.lower().startswith("on") and not space:
            raise InputError(
                f"The tag “{tag}” has an event attribute ({name[:30]}), which can run a script. "
                "Save the drawing as plain SVG, without it."
            )
        if name.lower() in ("href", "src") and space in ("", XLINK):
            if not value.strip().startswith("#"):
                raise InputError(
                    f"The tag “{tag}” points outside the drawing ({short(value)}). Embed nothing "
                    "and link nothing: turn it into paths, or delete it."
                )
            if tag == "use":
                kept.setdefault("href", value.strip()[1:])
            continue
        if not space:
            kept[name] = value
            if name in STYLED or name == "style":
                check_style(value)
    return kept


def check_style(text: str) -> None:
    """Style may point within the drawing, not out of it (nor hide that it does by escapes).

    Raises
    ------
    InputError
        Where it does.
    """
    bare = uncommented(text)
    outside = re.search(r"url\(\s*+['\"]?+\s*+(?!#)", bare, re.IGNORECASE)
    if outside or "\\" in bare or re.search(r"@import|expression\s*\(", bare, re.IGNORECASE):
        raise InputError(
            f"The style “{short(text.strip())}” points outside the drawing. Save it as plain SVG."
        )


def uncommented(text: str) -> str:
    """Style without its comments; one that is not closed goes to the end (CSS Syntax 3, 4.3.2)."""
    first, *others = text.split("/*")
    return first + "".join(one.partition("*/")[2] for one in others)


def check_doctype(_name: str, _system: str | None, _public: str | None, declares: int) -> None:
    """Pass over a document type that only names the standard, as drawing programs write it.

    Expat does not fetch what it names.
    """
    if declares:
        refuse_entities()


def refuse_entities(*_: object) -> None:
    """Refuse whatever a document type declares.

    Raises
    ------
    InputError
        Always.
    """
    raise InputError(
        "The file has a DOCTYPE with declarations, which can hide a file that grows without end. "
        "Save it as plain SVG, or delete all from <!DOCTYPE to ]>."
    )


def check_instruction(target: str, _data: str) -> None:
    """What fetches a style sheet is refused; notes that programs leave for themselves are not.

    Raises
    ------
    InputError
        Where it would be fetched.
    """
    if target.lower() == "xml-stylesheet":
        raise InputError(
            f"The file has an instruction to fetch something else ({short(target)}). Save it as "
            "plain SVG, without a linked style sheet."
        )
