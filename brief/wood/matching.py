"""Which rows of the table a text names: by whole words, the longest name first."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Generic, TypeVar

from brief.wood.table import Finish, Named, Row, table

R = TypeVar("R", bound=Row)
Words = tuple[str, ...]


@dataclass(frozen=True)
class Hit(Generic[R]):
    """A row that is named. latin : by its Latin name."""

    row: R
    latin: bool = False


def words_of(text: str) -> Words:
    """Its words in small letters without accents: “Épicéa, no. 7” is epicea, no, 7."""
    plain = unicodedata.normalize("NFKD", text).casefold()
    return tuple(re.findall(r"[a-z0-9]+", re.sub(r"[\u0300-\u036f]", "", plain)))


@lru_cache(maxsize=4096)
def named_in(text: str, stuff: str = "") -> tuple[Hit[Named], ...]:
    """The rows that a species or a label names. Of a stuff that is made, a name that the table has
    with that stuff behind it is read so: “tortoise” of celluloid is no turtle.

    >>> [hit.row.name for hit in named_in("Eastern red cedar, spalted")]
    ['juniper', 'spalted wood']
    """
    words = words_of(text)
    names, latin = _names()
    row = table().stuffs.get(stuff)
    made_of = words_of(stuff) if row and row.nature == "made" else ()
    common = _found(words, names, latin=False, made_of=made_of)
    return _decided([*_found(words, latin, latin=True), *common])


def named_of(stuff: str, species: str, label: str) -> tuple[Named, ...]:
    """The rows that the two texts name together, each once; a Latin name in either decides."""
    hits = _decided([*named_in(species, stuff), *named_in(label, stuff)])
    return tuple(dict.fromkeys(hit.row for hit in hits))


def finishes_in(text: str) -> tuple[Finish, ...]:
    """The finishes that a text names.

    >>> [one.name for one in finishes_in("Rubbed with Danish oil, no lacquer")]
    ['drying oil', 'none']
    """
    hits = _found(words_of(text), _finishes(), latin=False)
    return tuple(dict.fromkeys(hit.row for hit in hits))


def _decided(hits: Sequence[Hit[Named]]) -> tuple[Hit[Named], ...]:
    """Without the common names whose meaning a Latin name decides."""
    decided = {hit.row.name for hit in hits if hit.latin}
    return tuple(hit for hit in hits if hit.latin or not decided & set(hit.row.means))


def _found(
    words: Words, index: Mapping[Words, R], *, latin: bool, made_of: Words = ()
) -> list[Hit[R]]:
    longest = max(map(len, index))
    hits, start = [], 0
    while start < len(words):
        for end in range(min(len(words), start + longest), start, -1):
            name = words[start:end]
            row = index.get((*name, *made_of)) or index.get(name) or index.get(_singular(name))
            if row is not None:
                hits.append(Hit(row, latin))
                start = end
                break
        else:
            start += 1
    return hits


def _singular(words: Words) -> Words:
    return (*words[:-1], words[-1].removesuffix("s"))


@cache
def _names() -> tuple[dict[Words, Named], dict[Words, Named]]:
    """The rows by their common names, and by their Latin ones, “D. nigra” among them."""
    names, latin = dict[Words, Named](), dict[Words, Named]()
    for row in table().named:
        names |= {words_of(name): row for name in row.names}
        for name in row.latin:
            genus, *epithet = words_of(name)
            latin[genus, *epithet] = row
            if epithet:
                latin[genus[0], *epithet] = row
    return names, latin


@cache
def _finishes() -> dict[Words, Finish]:
    return {words_of(name): row for row in table().finishes for name in row.names}
