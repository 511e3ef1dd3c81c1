"""What is read at the stand: the caption beside the instrument, and the price list."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel, Field

from brief.english import words
from brief.services.common.finding import listed
from brief.services.common.naming import public_label
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part
from brief.wood.cautions import stuff_row

NOT_KNOWN = "species not known"
GROWN = ("plant", "animal", "unknown")  # what has a species


class CaptionMaterial(BaseModel):
    """A material as visitors read it."""

    name: str
    botanical: str = Field(
        description="Its species as written on the piece, of what has one; else empty"
    )
    parts: list[str]
    parts_words: str = Field(examples=["Back, sides and headplate"])


class PriceLine(BaseModel):
    """A line of the price list."""

    name: str
    price: str = Field(description="As it was typed; empty: to be asked for")


class StandView(BaseModel):
    """What the stand shows of a brief."""

    title: str
    instrument: str
    words: str
    materials: list[CaptionMaterial]
    price: str = Field(description="Empty unless the maker gave one to be shown")
    price_list: list[PriceLine]


def stand_of(desk: Desk, brief: Brief) -> StandView:
    """The caption and price list of a brief. A price is on neither unless it was given for them."""
    return StandView(
        title=brief.title,
        instrument=brief.instrument,
        words=brief.caption,
        materials=list(_materials(desk, brief)),
        price=brief.stand_price,
        price_list=list(_prices(brief)),
    )


def _materials(desk: Desk, brief: Brief) -> Iterator[CaptionMaterial]:
    """Each name once, with the parts that are made of it, in the order of the spec."""
    found: dict[tuple[str, str], list[str]] = {}
    for part in listed(desk, Part, brief_id=brief.id):
        if part.material_id:
            piece = desk.session.get_one(Material, part.material_id)
            name = public_label(piece)
            if stuff_row(piece.stuff).nature in GROWN:
                key = (name, piece.species or NOT_KNOWN)
            else:  # of brass it is the alloy
                key = (f"{name}, {piece.species}" if piece.species else name, "")
            found.setdefault(key, []).append(part.name)
    for (name, botanical), parts in found.items():
        told = words([part.lower() if at else part for at, part in enumerate(parts)])
        yield CaptionMaterial(name=name, botanical=botanical, parts=parts, parts_words=told)


def _prices(brief: Brief) -> Iterator[PriceLine]:
    """The instrument first, if it has a price; then the maker's lines, each price behind the last
    colon of its line.
    """
    if brief.stand_price:
        yield PriceLine(name=brief.title, price=brief.stand_price)
    for line in brief.stand_list.splitlines():
        if not line.strip():
            continue
        name, colon, price = line.rpartition(":")
        yield (
            PriceLine(name=name.strip(), price=price.strip())
            if colon and name.strip()
            else PriceLine(name=line.strip().rstrip(":"), price="")
        )
