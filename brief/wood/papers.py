"""What of a material is on the list of CITES, by the table, and what is not known.

It only warns, and warns of too much rather than too little: nothing is cleared but a plant whose
species the table knows to be unlisted, and what is neither plant nor animal. The present
appendices and the permit authorities of both countries decide; the table says which edition it
goes by.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from brief.wood.cautions import stuff_row
from brief.wood.matching import named_in, named_of
from brief.wood.table import Named, Standing, table

DOUBT = re.compile(
    r"\?|\b(?:not known|unknown|no label|perhaps|maybe|possibly|probably|unsure)\b", re.IGNORECASE
)
_SEPARATORS = re.compile(r"[,;/&+()]|\b(?:and|or|with)\b", re.IGNORECASE)
_STRICTEST = ("I", "I or II", "II", "II or III", "III")


@dataclass(frozen=True)
class Listing:
    """short : a few words, sentence : with appendix, annotation and date, later : what may have
    changed since and who decides. appendix, annotation : those of the strictest entry, or empty.
    """

    standing: Standing
    short: str
    sentence: str
    later: str
    as_of: str
    appendix: str = ""
    annotation: str = ""


@lru_cache(maxsize=4096)
def listing(stuff: str, species: str = "", label: str = "") -> Listing:
    """How a piece stands on the trade list. A listed name counts whatever the stuff is.

    >>> listing("timber", "Dalbergia nigra").short, listing("timber", "Picea abies").standing
    ('CITES Appendix I', 'not on the list')
    """
    rows = named_of(stuff, species, label)
    listed = _with(rows, "listed")
    some = _with(rows, "some listed")
    if listed or some:
        return _listed(listed or some, "listed" if listed else "some listed")
    reason = _unknown(stuff, species, label, _with(rows, "not known"))
    as_of = table().as_of
    if reason:
        return Listing(
            "not known",
            "not known",
            f"Not known whether it needs papers: {reason}",
            table().later,
            as_of,
        )
    if stuff_row(stuff).nature == "plant":
        said = f"Not on the CITES list as of {as_of} (from memory)."
    else:
        said = f"CITES lists animals and plants; {stuff} is neither."
    return Listing(
        "not on the list", f"not on the CITES list as of {as_of}", said, table().later, as_of
    )


def _with(rows: Sequence[Named], standing: Standing) -> list[Named]:
    return [row for row in rows if row.standing == standing]


def _listed(rows: Sequence[Named], standing: Standing) -> Listing:
    rows = sorted(rows, key=lambda row: _STRICTEST.index(row.appendix))
    first = rows[0]
    short = f"CITES Appendix {first.appendix}"
    return Listing(
        standing,
        short if standing == "listed" else f"some in {short}",
        " ".join(map(_entry, rows)),
        table().later,
        first.as_of or table().as_of,
        first.appendix,
        first.annotation,
    )


def _entry(row: Named) -> str:
    where = f"CITES Appendix {row.appendix}, since {row.since}"
    if row.standing == "listed":
        said = f"Listed as of {row.as_of or table().as_of}: {row.name}, {where}"
        said += f"; {row.which}" if row.which else ""
    else:
        said = f"Some {row.name} is listed as of {row.as_of or table().as_of}: {row.which}, {where}"
    said += "; in part from memory." if "memory" in row.source else "."
    if row.annotation:
        said += f" Annotation {row.annotation}: {table().annotations[row.annotation]}."
    return f"{said} {row.note}".rstrip()


def _unknown(stuff: str, species: str, label: str, rows: Sequence[Named]) -> str:
    """Why nobody can tell, or nothing where it can be told to be unlisted."""
    nature = stuff_row(stuff).nature
    if rows:
        told = [row.note or f"The listing of {row.name} is not known to us." for row in rows]
        return _lower(" ".join(dict.fromkeys(told)))
    if nature in ("made", "mineral"):
        return ""
    if nature == "animal":
        return f"{stuff} may need some even where CITES does not list the animal."
    if nature == "unknown":
        return "what it is made of is not in our table."
    if DOUBT.search(f"{species} {label}"):
        return "its species is a guess."
    pieces = [piece.strip() for piece in _SEPARATORS.split(species)]
    untold = [piece for piece in pieces if piece and not named_in(piece)]
    if untold:
        return f"“{untold[0]}” is not in our table."
    if not any(hit.row.standing for hit in named_in(species)):
        return "its species is not written down."
    return ""


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]
