"""How far a piece of wood moves in width as its moisture changes, by species and cut.

Woods and their numbers are in movement.toml, whose head says what its fields mean.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

from brief.unchanging import unchanging
from brief.wood.matching import Words, named_of, words_of
from brief.wood.table import Row

Cut = Literal["not said", "quartersawn", "flatsawn"]
Band = Literal["small", "watch", "too much"]

STRAIGHT = (6.0, 14.0)
"""Moisture contents between which a coefficient is a straight line, percent."""
SATURATION = 30.0
BOARDS_DIFFER = 0.25
"""Of the change: nine boards in ten are within it, at the 15 % of spread between trees of a species
that the Wood Handbook names (from memory)."""
WATCH, TOO_MUCH = 0.0025, 0.005
"""Of the width, where a plate is held by braces across it. Spruce pulled across the grain breaks at
about 0.3 % (by strength over stiffness, from memory) and gives way slowly over days; the two limits
are common practice, no source."""
FELT_MM, SHARP_MM = 0.05, 0.15
"""Of fret ends that stick out, on either side: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Wood(Row):
    """A wood of the table. radial, tangential : share of the width for each percent of moisture
    content; given, or derived of the shrinkage from green to oven-dry, in percent.
    """

    of: str
    latin: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    radial: float | None = None
    tangential: float | None = None
    shrinkage: tuple[float, float] | None = None
    saturation: float = SATURATION
    note: str = ""

    @property
    def derived(self) -> bool:
        """Whether its coefficients are not tabulated."""
        return self.radial is None

    def coefficients(self) -> tuple[float, float]:
        """Radial and tangential."""
        if self.radial is not None and self.tangential is not None:
            return self.radial, self.tangential
        if self.shrinkage is None:
            raise TypeError(f"nothing says how far {self.name} moves")
        radial, tangential = self.shrinkage
        return coefficient(radial, self.saturation), coefficient(tangential, self.saturation)


@dataclass(frozen=True)
class Moves:
    """How far a piece moves for each percent of moisture content, as a share of its width.

    least, most : by its cut, where that is not said from quartersawn to flatsawn, and by the woods
    that it may be.
    """

    woods: tuple[Wood, ...]
    least: float
    most: float

    @property
    def likely(self) -> float:
        """Half-way between them."""
        return (self.least + self.most) / 2


@dataclass(frozen=True)
class WidthChange:
    """A change of width, mm, below 0 where it shrinks; nine in ten lie between least and most in
    size, which have the sign of `likely`.
    """

    likely: float
    least: float
    most: float


def coefficient(shrinkage: float, saturation: float = SATURATION) -> float:
    """The dimensional change coefficient that follows of a shrinkage, percent from green to dry.

    It is what the whole-range form gives at a moisture content of 10 %, and gives Table 13-5 of the
    Wood Handbook to its five decimals for all its domestic species that are in movement.toml.

    >>> round(coefficient(4.3), 5), round(coefficient(2.4, saturation=22), 5)
    (0.00148, 0.00111)
    """
    return 1 / (saturation * 100 / shrinkage - saturation + 10)


def change_mm(width_mm: float, before: float, after: float, coefficient: float) -> float:
    """By how much a width changes between two moisture contents in percent; below 0 it shrinks.

    Wood Handbook, ch. 13: between 6 and 14 % the coefficient times the change; beyond, the form for
    the whole range below saturation (its printed form from memory), in which shrinkage is put by
    the coefficient.

    >>> round(change_mm(8, 6, 12, 0.0026), 4)  # its example of flatsawn red alder, inches
    0.1248
    """
    least, most = STRAIGHT
    if least <= min(before, after) and max(before, after) <= most:
        return width_mm * coefficient * (after - before)
    return width_mm * (after - before) / (1 / coefficient - 10 + before)


def change(width_mm: float, before: float, after: float, moves: Moves) -> WidthChange:
    """The change of a piece, with what cut, species and board leave open."""
    likely, least, most = (
        change_mm(width_mm, before, after, one) for one in (moves.likely, moves.least, moves.most)
    )
    return WidthChange(likely, least * (1 - BOARDS_DIFFER), most * (1 + BOARDS_DIFFER))


def moves(stuff: str, species: str, label: str, cut: Cut = "not said") -> Moves | None:
    """How far a piece moves, by what is written of it; None where that is not known.

    >>> moves("timber", "Picea sitchensis", "", "quartersawn").likely
    0.00148
    >>> moves("timber", "Dalbergia retusa", "")
    """
    if stuff not in ("timber", "veneer"):
        return None
    found = _woods(stuff, species, label)
    if not found:
        return None
    ends = [one.coefficients() for one in found]
    radial, tangential = [one for one, _ in ends], [one for _, one in ends]
    match cut:
        case "quartersawn":
            return Moves(found, min(radial), max(radial))
        case "flatsawn":
            return Moves(found, min(tangential), max(tangential))
        case "not said":
            return Moves(found, min(radial), max(tangential))


def band(share: float) -> Band:
    """What a change of this share of the width means for a plate that is held."""
    return _band(abs(share), WATCH, TOO_MUCH)


def band_of_frets(each_side_mm: float) -> Band:
    """What it means where a fretboard leaves its fret ends by so much on either side."""
    return _band(abs(each_side_mm), FELT_MM, SHARP_MM)


def _band(size: float, watch: float, too_much: float) -> Band:
    return "small" if size < watch else "watch" if size < too_much else "too much"


def _woods(stuff: str, species: str, label: str) -> tuple[Wood, ...]:
    """Those that the texts name; of a row of materials that nothing tells apart, only where its
    woods are alike. None at all where a wood is named that is not in the table.
    """
    known, alike, _ = _table()
    said = words_of(f"{species} ; {label}")
    found: list[Wood] = []
    for row in named_of(stuff, species, label):
        of_row = [one for one in known if one.of == row.name]
        told = (
            [one for one in of_row if any(_says(said, name, latin=True) for name in one.latin)]
            or [one for one in of_row if any(_says(said, name) for name in one.names)]
            or [one for one in of_row if row.name in alike or not (one.latin or one.names)]
        )
        if row.latin and not told:
            return ()
        found += told
    return tuple(dict.fromkeys(found))


def _says(said: Words, name: str, *, latin: bool = False) -> bool:
    """Whether a text says a name: “Picea abies”, and “P. abies”."""
    words = words_of(name)
    ways = [words, (words[0][0], *words[1:])] if latin and len(words) > 1 else [words]
    return any(
        said[at : at + len(way)] == way for way in ways for at in range(len(said) - len(way) + 1)
    )


def told(found: Sequence[Wood]) -> str:
    """Where the numbers of these woods are from, in words."""
    _, _, sources = _table()
    said = "; ".join(dict.fromkeys(sources[key] for one in found for key in one.source))
    derived = [one.name for one in found if one.derived]
    return f"{said}{'; derived from its shrinkage' if derived else ''}"


def table() -> tuple[Wood, ...]:
    """All woods of the table."""
    return _table()[0]


@cache
def _table() -> tuple[tuple[Wood, ...], frozenset[str], Mapping[str, str]]:
    """The woods, which rows of materials are alike, and the sources by their keys."""
    text = files(__package__).joinpath("movement.toml").read_text(encoding="utf-8")
    data = unchanging(tomllib.loads(text))
    return tuple(Wood(**row) for row in data["woods"]), frozenset(data["alike"]), data["sources"]
