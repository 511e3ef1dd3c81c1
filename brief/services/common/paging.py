"""Long lists, a page at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol, TypeVar


class Identified(Protocol):
    """What has an id."""

    @property
    def id(self) -> str:
        """Of its record."""


T = TypeVar("T", bound=Identified)


@dataclass(frozen=True)
class Leaf:
    """Which page of a list is asked for: its number from 1, or the one that has `at`, an id."""

    page: int = 1
    at: str = ""


@dataclass(frozen=True)
class Pager:
    """One page of a list, of how many, and how long all of it is. asked : what else its address
    asks for, as a query.
    """

    page: int
    pages: int
    count: int
    asked: Mapping[str, str] = field(default_factory=dict)


FIRST = Leaf()


def paged(
    those: Sequence[T], size: int, leaf: Leaf, asked: Mapping[str, str] | None = None
) -> tuple[Sequence[T], Pager]:
    """What that page shows of a list in pages of `size`. One that is not there is the nearest, and
    one that is to have what is not in the list the first.
    """
    pages = max(1, -(-len(those) // size))
    page = min(max(leaf.page, 1), pages)
    if leaf.at:
        page = next((place // size + 1 for place, one in enumerate(those) if one.id == leaf.at), 1)
    said = {name: value for name, value in (asked or {}).items() if value}
    return those[(page - 1) * size : page * size], Pager(page, pages, len(those), said)
