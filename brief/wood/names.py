"""What a piece is called by those who do not know the maker's rack."""

from __future__ import annotations

import re

from brief.wood.table import table

# ", no. 7", " #12", "(set no 3b)": what tells apart the pieces of one rack.
_SHOP_NUMBER = re.compile(
    r"[\s,;:(\[–-]*(?:\bset\b|(?:\bset\s+)?(?:\b(?:no|nr|number)\b\.?|№|#))\s*\d+[a-z]?\b[)\]]?",
    re.IGNORECASE,
)


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
