"""What a piece is called by those who do not know the maker's rack."""

from __future__ import annotations

import re
from difflib import get_close_matches
from functools import cache

from brief.wood.table import table

# ", no. 7", " #12", "(set no 3b)": what tells apart the pieces of one rack.
_SHOP_NUMBER = re.compile(
    r"[\s,;:(\[–-]*(?:\bset\b|(?:\bset\s+)?(?:\b(?:no|nr|number)\b\.?|№|#))\s*\d+[a-z]?\b[)\]]?",
    re.IGNORECASE,
)

# How alike two names are, 0 to 1, from which one is offered for the other: more where the genus is
# known, for there many species differ by little.
ALIKE, ALIKE_KNOWN = 0.8, 0.88


def public_name(given: str, species: str, label: str) -> str:
    """The name for others to read: the one that was given for them; else the common name of the
    species; else the label, without the numbers of the shop.

    >>> public_name("", "Thuja plicata", "Cedar top, no. 7")
    'Western red cedar'
    >>> public_name("", "", "Feathered walnut, set no. 3")
    'Feathered walnut'
    """
    if given:
        return given
    common = table().common.get(" ".join(species.split()).capitalize())
    if common:
        return common[0].upper() + common[1:]
    return _SHOP_NUMBER.sub("", label).strip(" ,;:–-") or label


def nearest_latin(species: str) -> str:
    """The Latin name of the table that a species is nearly; empty where it is one of them, or
    where none is near.

    >>> nearest_latin("Thuja plicta"), nearest_latin("Thuja plicata"), nearest_latin("walnut")
    ('Thuja plicata', '', '')
    """
    words = re.findall(r"[a-z]+", species.casefold())
    if len(words) < 2 or words[1] in ("sp", "spp"):
        return ""
    known = _latin_names()
    said = f"{words[0].capitalize()} {words[1]}"
    genus_known = any(one.startswith(f"{words[0].capitalize()} ") for one in known)
    if said in known:
        return ""
    near = get_close_matches(said, known, n=1, cutoff=ALIKE_KNOWN if genus_known else ALIKE)
    return near[0] if near else ""


@cache
def _latin_names() -> tuple[str, ...]:
    """All names of a genus and a species that the table has."""
    named = (name for row in table().named for name in row.latin if " " in name)
    return tuple(dict.fromkeys((*table().common, *named)))
