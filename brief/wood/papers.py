"""Which materials may need papers to cross a border.

By the CITES appendices as amended at CoP19 (Panama, November 2022), and of CoP20 (Samarkand,
December 2025) only what it did about pernambuco; they change, and their annotations decide which
goods count. It only warns, and warns of too much rather than too little: where but some of a genus
is listed, all of it counts here. The present appendices and the permit authorities of both
countries decide.

Sources: Dalbergia, Guibourtia #15 (CoP18); Afzelia #17, Dipteryx, Handroanthus, Tabebuia and
Roseodendron, by the votes of CoP19 as reported; Paubrasilia #10 (CoP19, CoP20); Swietenia; alerce,
monkey puzzle, lignum vitae, ramin, by a list of the US Fish and Wildlife Service; Nautilidae
(CoP17). From memory where no text could be read: Pterocarpus and Khaya of Africa #17 (CoP19),
Cedrela of the Neotropics, Diospyros of Madagascar, queen conch, giant clam, black coral.
"""

from __future__ import annotations

import re
from typing import Literal

Papers = Literal["listed", "not known", "not listed"]

LISTED = (
    "dalbergia", "rosewood", "cocobolo", "african blackwood", "kingwood", "tulipwood",
    "guibourtia", "bubinga", "pterocarpus", "padauk", "afzelia", "khaya", "swietenia",
    "cuban mahogany", "honduras mahogany", "cedrela", "spanish cedar", "diospyros", "ebony",
    "paubrasilia", "pernambuco", "caesalpinia echinata", "brazilwood",
    "handroanthus", "tabebuia", "roseodendron", "lapacho", "dipteryx", "cumaru",
    "fitzroya", "alerce", "araucaria araucana", "monkey puzzle", "guaiacum", "lignum vitae",
    "gonystylus", "ramin", "nautilus", "queen conch", "giant clam", "tridacna", "black coral",
    "ivory", "tortoise",
)  # fmt: skip
UNTOLD = ("not known", "unknown", "no label", "mahogany")
_LISTED = re.compile(rf"\b(?:{'|'.join(LISTED)})")
_NATURAL = frozenset({"timber", "veneer", "shell", "bone"})


def papers(stuff: str, species: str, label: str = "") -> Papers:
    """Whether a material's name is on the list, or nobody can tell from it.

    A name on the list counts whatever the stuff is; that nobody can tell, only of what grew.

    >>> papers("timber", "Dalbergia latifolia"), papers("timber", "Picea abies")
    ('listed', 'not listed')
    """
    name = f"{species} {label}".casefold()
    if _LISTED.search(name):
        return "listed"
    if stuff not in _NATURAL:
        return "not listed"
    if not species.strip() or any(word in name for word in UNTOLD):
        return "not known"
    return "not listed"
