"""Which materials may need papers to cross a border.

After the CITES appendices as this was written, November 2026; they change, and annotations decide
which goods count. It only warns: the present appendices and the permit authorities of both
countries decide. Sources: cites.org, appendices; Dalbergia, Guibourtia: #15 (CoP18); Pterocarpus,
Afzelia, Khaya of Africa: #17 (CoP19); Swietenia, Cedrela of the Neotropics; Diospyros of
Madagascar; Paubrasilia: #10 (CoP19); Nautilidae. From memory where no text could be read: Cedrela,
Diospyros and the annotations of Pterocarpus and Khaya.
"""

from __future__ import annotations

from typing import Literal

Papers = Literal["listed", "not known", "not listed"]

LISTED = (
    "dalbergia", "rosewood", "cocobolo", "african blackwood", "kingwood", "tulipwood",
    "guibourtia", "bubinga", "pterocarpus", "padauk", "afzelia", "khaya", "swietenia",
    "cuban mahogany", "honduras mahogany", "cedrela", "spanish cedar", "diospyros", "ebony",
    "paubrasilia", "pernambuco", "caesalpinia echinata", "nautilus", "ivory", "tortoise",
)  # fmt: skip
UNTOLD = ("not known", "unknown", "no label", "mahogany")
_NATURAL = frozenset({"timber", "veneer", "shell", "bone"})


def papers(stuff: str, species: str, label: str = "") -> Papers:
    """Whether a material's name is on the list, or nobody can tell from it.

    >>> papers("timber", "Dalbergia latifolia"), papers("timber", "Picea abies")
    ('listed', 'not listed')
    """
    if stuff not in _NATURAL:
        return "not listed"
    name = f"{species} {label}".casefold()
    if any(word in name for word in LISTED):
        return "listed"
    if not species.strip() or any(word in name for word in UNTOLD):
        return "not known"
    return "not listed"
