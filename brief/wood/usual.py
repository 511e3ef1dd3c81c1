"""Which parts a material is usually used for (common practice, no source)."""

from __future__ import annotations

from functools import cache

from brief.wood.cautions import stuff_row
from brief.wood.matching import named_in
from brief.wood.table import Named, table


def is_usual(role: str, stuff: str, species: str = "", label: str = "") -> bool:
    """Whether a part of that role is usually made of it; true of a part that no stuff names.

    >>> is_usual("top", "timber", "Picea abies"), is_usual("neck", "timber", "Picea abies")
    (True, False)
    """
    if role not in _known_roles():
        return True
    told = _kinds(species) or _kinds(label)
    narrowed = told and all(row.parts is not None for row in told)
    if narrowed and not any(role in (row.parts or ()) for row in told):
        return False
    hard_enough = stuff == "timber" and any(role in row.also for row in told)
    return hard_enough or role in stuff_row(stuff).parts


def _kinds(text: str) -> list[Named]:
    """The woods that it names; what was done to a wood says nothing of its use."""
    return [hit.row for hit in named_in(text) if hit.row.standing]


@cache
def _known_roles() -> frozenset[str]:
    return frozenset(role for row in table().stuffs.values() for role in row.parts)
