"""Which blanks a piece of the rack is sawn into, and how many each gives through its thickness."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from brief.instrument.model.also_needed import Needed
from brief.instrument.model.cut_list import HALVES
from brief.instrument.model.sawing import Sides
from brief.services.common.formatting import plain
from brief.services.spec.cutting import rounded_up
from brief.store.records import Material


@dataclass(frozen=True)
class WantedBlank:
    """A line of the cut list for a board: so many blanks on its face, each so many leaves; none
    where the board is too thin. sentence : how they go, or why not; may be empty.
    """

    needed: Needed
    blank_mm: list[float]
    pieces: int
    blanks: int
    leaves: int
    sentence: str

    @property
    def sides(self) -> Sides:
        """Along the grain and across it, mm."""
        return self.blank_mm[0], self.blank_mm[1]


def wanted_blanks(
    needed: Sequence[Needed], material: Material, matches: Mapping[str, str], kerf_mm: float
) -> Iterator[WantedBlank]:
    """What is to be cut of a piece, line by line, by one way to build a neck.

    matches : how halves are matched, by role.
    """
    way = _way(needed, material)
    for one in needed:
        if one.way and one.way != way:
            continue
        blank, pieces = rounded_up(one.blank_mm), one.pieces
        if one.of in HALVES and matches.get(one.of) == "one":
            blank, pieces = [blank[0], 2 * blank[1], blank[2]], 1
        leaves = _leaves(one, blank[2], material.thickness_mm, kerf_mm)
        blanks = math.ceil(pieces / leaves) if leaves else 0
        told = _told(one, blank, pieces, leaves, material)
        yield WantedBlank(one, blank, pieces, blanks, min(leaves, pieces), told)


def _way(needed: Sequence[Needed], material: Material) -> str:
    """The first way to build a neck that the board is thick enough for; else the thinnest."""
    ways = list(dict.fromkeys(one.way for one in needed if one.way))
    deep = material.thickness_mm or 0.0
    for way in ways:
        if all(rounded_up(one.blank_mm)[2] <= deep for one in needed if one.way == way):
            return way
    return ways[-1] if ways else ""


def _leaves(needed: Needed, thick_mm: float, board_mm: float | None, kerf_mm: float) -> int:
    """How many a blank is sawn into through its thickness; 0 where the board is too thin."""
    if board_mm is None or needed.of == "neck":
        return 1 if board_mm is None or board_mm >= thick_mm else 0
    return int((board_mm + kerf_mm) / (thick_mm + kerf_mm) + 1e-9)


def _told(
    needed: Needed, blank: Sequence[float], pieces: int, leaves: int, material: Material
) -> str:
    if not leaves:
        return (
            f"The board is too thin: {plain(blank[2])} mm are needed, it has "
            f"{plain(material.thickness_mm or 0.0)} mm."
        )
    halves = needed.of in HALVES and pieces == 2
    if material.thickness_mm is None:
        apart = "; two are laid side by side" if halves else ""
        return f"Its thickness is not written down, so none is sawn through it{apart}."
    if halves and leaves > 1:
        return "One blank, sawn through its thickness and opened like a book."
    if halves:
        return "Too thin to saw through: side by side, or one from each board of a matched set."
    if min(leaves, pieces) > 1:
        return f"Each blank is sawn into {min(leaves, pieces)} through its thickness."
    return needed.way and f"{needed.way[0].upper()}{needed.way[1:]}, by the board’s thickness."
