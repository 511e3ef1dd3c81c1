"""What to take care of, as views show it: in a few words, and in full with who decides."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from pydantic import BaseModel, Field

from brief.services.common.field_types import Fields
from brief.store.records import Material
from brief.wood import (
    REMINDER,
    cautions,
    finish_cautions,
    laser_cautions,
    listing,
    part_cautions,
)
from brief.wood.papers import Listing
from brief.wood.table import MARKS, Caution, Named, Standing, table


class ListingView(BaseModel):
    """How a piece stands on the trade list of CITES, as of an edition."""

    standing: Standing
    short: str
    sentence: str = Field(description="With appendix, annotation and date, or why nobody can tell")
    later: str = Field(description="What may have changed since, and who decides")
    as_of: str = Field(examples=["CoP19, November 2022"])
    appendix: str = Field(description="Of the strictest entry; empty where nothing is listed")
    annotation: str


class Careful(BaseModel):
    """What can hurt whoever works it."""

    care: str = Field(description="The cautions in a few words; empty where there are none")
    cautions: list[str] = Field(
        description="The usual cautions in full, marked where no source was read"
    )
    reminder: str = Field(REMINDER, description="Who decides")


def careful(found: Iterable[Caution]) -> Fields:
    """The fields of `Careful` for these cautions, each told once."""
    told = list(dict.fromkeys(found))
    return {
        "care": in_short(told),
        "cautions": [f"{one.says}{_mark(one.source)}" for one in told],
    }


def in_short(found: Iterable[Caution]) -> str:
    """Cautions in a few words, each told once."""
    return " · ".join(one.short for one in dict.fromkeys(found))


def piece_cautions(material: Material) -> tuple[Caution, ...]:
    """The usual cautions about a piece of the rack, by its kind, species and label."""
    return cautions(material.stuff, material.species, material.label)


def made_cautions(role: str, finish: str, material: Material | None) -> list[Caution]:
    """Of a part: its piece, its finish, and what is done to it."""
    piece = piece_cautions(material) if material else ()
    return [*piece, *part_cautions(role), *finish_cautions(finish)]


def inlay_cautions(material: Material | None) -> list[Caution]:
    """Of an inlay: its piece, what it is glued in with, and a laser that cuts it."""
    piece = piece_cautions(material) if material else ()
    return [*piece, *part_cautions("inlay"), *machine_cautions([material] if material else [])]


def machine_cautions(materials: Sequence[Material]) -> tuple[Caution, ...]:
    """Where a drawing of parts of these pieces goes to a machine."""
    return laser_cautions([(one.stuff, one.species, one.label) for one in materials])


def listing_view(material: Material) -> ListingView:
    """The place of a piece of the rack on the trade list, as it is shown."""
    found: Listing = listing(material.stuff, material.species, material.label)
    return ListingView(**vars(found))


@dataclass(frozen=True)
class Told:
    """The whole table of materials, each line with its sources in words."""

    edition: str
    later: str
    told_cautions: Sequence[tuple[Caution, str]]
    told_names: Sequence[tuple[Named, str]]
    annotations: Mapping[str, str]
    reminder: str


def told() -> Told:
    """All of it, for the page of sources."""
    known = table()
    return Told(
        edition=known.as_of,
        later=known.later,
        told_cautions=[(one, sources(one.source)) for one in known.cautions.values()],
        told_names=[(one, sources(one.source)) for one in known.named if one.standing],
        annotations=known.annotations,
        reminder=REMINDER,
    )


def sources(keys: Sequence[str]) -> str:
    """The sources with these keys in the table of woods, in words."""
    return "; ".join(table().sources[key] for key in keys)


def _mark(source: Sequence[str]) -> str:
    """That nothing was read for it; published sources are told at /method."""
    return f" ({sources(source)})" if set(source) <= MARKS else ""
