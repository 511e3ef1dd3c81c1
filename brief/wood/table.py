"""The table of materials, read from materials.toml, whose head says what its fields mean."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Literal, TypeAlias

from brief.unchanging import unchanging

Nature = Literal["plant", "animal", "mineral", "made", "unknown"]
MARKS = frozenset({"memory", "practice"})  # sources that say that no text was read
Standing = Literal["listed", "some listed", "not known", "not on the list"]


@dataclass(frozen=True)
class Caution:
    """What can hurt. short : a few words, says : one or two sentences, source : who says so."""

    key: str
    short: str
    says: str
    source: tuple[str, ...]
    checked: date


@dataclass(frozen=True, kw_only=True)
class Row:
    """What all rows have: the keys of their cautions and sources."""

    name: str
    source: tuple[str, ...]
    checked: date
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class StuffRow(Row):
    """A stuff. laser : keys of what to heed where a laser cuts it; parts : usual roles."""

    nature: Nature
    laser: tuple[str, ...]
    parts: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Named(Row):
    """A wood, an animal, a stone, or what was done to it, by the names it goes by.

    standing : None where the row says nothing of papers. parts : None as its stuff is used.
    also : parts of solid timber beside those.
    """

    latin: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    means: tuple[str, ...] = ()
    standing: Standing | None = None
    appendix: str = ""
    annotation: str = ""
    which: str = ""
    since: str = ""
    as_of: str = ""
    note: str = ""
    parts: tuple[str, ...] | None = None
    also: tuple[str, ...] = ()
    laser: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Finish(Row):
    """A kind of finish, by the words it goes by."""

    names: tuple[str, ...] = ()


@dataclass(frozen=True)
class Table:
    """All of it. sources, annotations : by their keys; as_of : the edition of the trade list;
    common : what others call a species, by its Latin name written as "Thuja plicata".
    """

    as_of: str
    later: str
    annotations: Mapping[str, str]
    sources: Mapping[str, str]
    cautions: Mapping[str, Caution]
    stuffs: Mapping[str, StuffRow]
    parts: Mapping[str, Row]
    finishes: tuple[Finish, ...]
    named: tuple[Named, ...]
    common: Mapping[str, str]


@cache
def table() -> Table:
    """The table of materials; read once."""
    text = files(__package__).joinpath("materials.toml").read_text(encoding="utf-8")
    data = unchanging(tomllib.loads(text))
    return Table(
        **data["edition"],
        annotations=data["annotations"],
        sources=data["sources"],
        cautions={key: Caution(key=key, **row) for key, row in data["cautions"].items()},
        stuffs={name: StuffRow(name=name, **row) for name, row in data["stuffs"].items()},
        parts={role: Row(name=role, **row) for role, row in data["parts"].items()},
        finishes=tuple(Finish(**row) for row in data["finishes"]),
        named=tuple(Named(**row) for row in data["named"]),
        common=data["common"],
    )


if TYPE_CHECKING:
    Stuff: TypeAlias = str
else:  # so that a row is all it takes, and the API still names every stuff
    Stuff = Literal[tuple(table().stuffs)]
