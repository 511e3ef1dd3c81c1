"""What a packing list starts with, read from packing.toml, whose head says what its fields mean."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Literal

from brief.english import number_of
from brief.unchanging import unchanging

Heap = Literal["instrument", "tools", "stand", "papers", "yourself"]
HEAPS: Mapping[Heap, str] = {
    "instrument": "With the instrument",
    "tools": "Strings and tools",
    "stand": "For the stand",
    "papers": "Papers",
    "yourself": "For yourself",
}


@dataclass(frozen=True, kw_only=True)
class PackingLine:
    """One thing. families : of instrument; () for all."""

    key: str
    name: str
    heap: Heap
    why: str = ""
    families: tuple[str, ...] = ()


@dataclass(frozen=True)
class Usual:
    """The table. strings : sets to carry by family."""

    lines: tuple[PackingLine, ...]
    strings: Mapping[str, int]
    source: str
    checked: date


@cache
def usual() -> Usual:
    """The table; read once."""
    text = files(__package__).joinpath("packing.toml").read_text(encoding="utf-8")
    data = unchanging(tomllib.loads(text))
    lines = tuple(PackingLine(**row) for row in data["lines"])
    return Usual(lines, data["strings"], data["source"], data["checked"])


def usual_lines(family: str, strings: int) -> list[PackingLine]:
    """The lines for an instrument. family : of its preset. strings : that it has."""
    table = usual()
    found = [one for one in table.lines if not one.families or family in one.families]
    sets = number_of(table.strings.get(family, 1), "set")
    why = f"{sets} of {strings}: its thinnest break first"
    return [
        PackingLine(key=one.key, name=one.name, heap=one.heap, why=why)
        if one.key == "strings"
        else one
        for one in found
    ]
