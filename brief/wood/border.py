"""What to ask about before an instrument crosses a border, read from border.toml, whose head says
what its fields mean.

It lists questions, never answers: the permit authority of each country decides.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Literal

from brief.unchanging import unchanging
from brief.wood.cautions import stuff_row
from brief.wood.papers import Listing

AskedFor = Literal["everything", "plants", "animals", "listed", "Appendix I"]
DECIDES = (
    "The permit authority of each country decides. This list is not legal advice; ask before you "
    "buy, sell or ship."
)
UNLISTED = "Not listed in the edition of our table; check the one in force."
NOT_KNOWN = "Whether an exemption applies is not known."
NO_EXEMPTION = "No exemption for instruments is known to us."
APPENDIX_I = (
    "Appendix I: no exemption for instruments is known to us. Wood from before the listing needs "
    "a certificate that says so."
)


@dataclass(frozen=True, kw_only=True)
class Document:
    """A paper to ask about. days : to allow for it; None where that is not known."""

    name: str
    says: str
    asked_for: AskedFor
    source: tuple[str, ...]
    checked: date
    days: int | None = None


@dataclass(frozen=True, kw_only=True)
class Exemption:
    """What an annotation of the trade list leaves out, as far as instruments go."""

    says: str
    source: tuple[str, ...]
    checked: date


@dataclass(frozen=True)
class Border:
    """All of it. exemptions : by annotation, sources : by their keys."""

    documents: tuple[Document, ...]
    exemptions: Mapping[str, Exemption]
    sources: Mapping[str, str]

    def told(self, keys: Sequence[str]) -> str:
        """Sources in words."""
        return "; ".join(self.sources[key] for key in keys)


@cache
def border() -> Border:
    """The table; read once."""
    text = files(__package__).joinpath("border.toml").read_text(encoding="utf-8")
    data = unchanging(tomllib.loads(text))
    return Border(
        tuple(Document(**row) for row in data["documents"]),
        {name: Exemption(**row) for name, row in data["exemptions"].items()},
        data["sources"],
    )


def exemption(found: Listing) -> str:
    """What may except a finished instrument of such a material, with who says so."""
    if found.standing == "not on the list":
        return UNLISTED
    if found.standing == "not known":
        return NOT_KNOWN
    if found.appendix in ("I", "I or II"):
        return APPENDIX_I
    row = border().exemptions.get(found.annotation)
    return f"{row.says} ({border().told(row.source)})" if row else NO_EXEMPTION


def documents_for(pieces: Sequence[tuple[str, Listing]]) -> tuple[Document, ...]:
    """Those to ask about for pieces of these stuffs and listings. What is not known is asked about
    as what is listed."""
    natures = {stuff_row(stuff).nature for stuff, _ in pieces}
    asked: set[str] = {"everything"}
    if natures & {"plant", "unknown"}:
        asked.add("plants")
    if natures & {"animal", "unknown"}:
        asked.add("animals")
    if any(found.standing != "not on the list" for _, found in pieces):
        asked.add("listed")
    if any(found.appendix in ("I", "I or II") for _, found in pieces):
        asked.add("Appendix I")
    return tuple(one for one in border().documents if one.asked_for in asked)
