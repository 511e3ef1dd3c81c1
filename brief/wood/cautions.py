"""The usual cautions with a material: they point at the rules, and do not replace them.

Each stands in materials.toml with its source or the mark that it has none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from brief.wood.matching import finishes_in, named_of
from brief.wood.table import Caution, StuffRow, table

REMINDER = (
    "A reminder, not advice. The rules where you work, the safety data sheet, the permit authority "
    "and your doctor decide."
)


@lru_cache(maxsize=4096)
def cautions(stuff: str, species: str = "", label: str = "") -> tuple[Caution, ...]:
    """Of a piece: what its species and its label call for, then what its stuff does.

    >>> [one.short for one in cautions("timber", "Thuja plicata", "spalted top")]
    ['asthma (western red cedar)', 'mould (spalted wood)', 'wood dust']
    """
    rows = [*named_of(stuff, species, label), stuff_row(stuff)]
    return _of(key for row in rows for key in row.cautions)


def finish_cautions(finish: str) -> tuple[Caution, ...]:
    """Of a finish as it was typed; one that the table does not know says so."""
    found = finishes_in(finish)
    keys = [key for row in found for key in row.cautions]
    return _of(keys if found or not finish.strip() else ["unknown-finish"])


def part_cautions(role: str) -> tuple[Caution, ...]:
    """Of what is done to a part whatever it is made of, such as bending the sides."""
    row = table().parts.get(role)
    return _of(row.cautions if row else ())


def laser_cautions(pieces: Sequence[tuple[str, str, str]]) -> tuple[Caution, ...]:
    """Where a laser or a cutter cuts pieces, each given by its stuff, species and label; without
    any, of the machine alone."""
    rows = [row for piece in pieces for row in (*named_of(*piece), stuff_row(piece[0]))]
    lasers = [key for row in rows for key in getattr(row, "laser", ())]
    return _of(["laser", *lasers, "cutter"])


def stuff_row(stuff: str) -> StuffRow:
    """Its row; that of "other" for a stuff of a later version."""
    stuffs = table().stuffs
    return stuffs.get(stuff, stuffs["other"])


def _of(keys: Iterable[str]) -> tuple[Caution, ...]:
    return tuple(table().cautions[key] for key in dict.fromkeys(keys))
