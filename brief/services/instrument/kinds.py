"""Kinds of instrument of the maker's own, kept from the numbers of a brief."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from pydantic import BaseModel, Field
from sqlalchemy import func, select

from brief.errors import InputError
from brief.instrument import numbers_of, presets
from brief.instrument.presets import data_of
from brief.services.common.field_types import Columns, Draft, Fields, Id, Title, View
from brief.services.common.finding import listed, present
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import Texts, still_true
from brief.services.instrument.dimensions import PLACES, SAME_MM, instrument_of, typed_numbers
from brief.services.instrument.known_kinds import own_preset
from brief.store.desk import Desk
from brief.store.records import Brief, Kind, Part


class KindDraft(Draft):
    """A model as it is sent: the brief it is kept from."""

    name: Title = Field(examples=["Small saltmarsh parlour"])
    brief_id: Id = Field(description="Its numbers, its outline and its parts are taken from here")


class KindPart(BaseModel):
    """A part that a new brief of this kind comes with."""

    role: str
    name: str
    sizes: str


class KindView(View):
    """A model as it is shown."""

    name: str
    numbers: dict[str, float] = Field(description="Millimetres, or counts")
    as_typed: Texts
    parts: list[KindPart]


class Kinds(Noun[Kind, KindView]):
    """Models of the maker's own."""

    record, draft, view = Kind, KindDraft, KindView
    settled = frozenset({"brief_id"})
    filters = ()
    hangs_by: ClassVar = {}

    def settle(self, desk: Desk, fields: Fields, record: Kind | None) -> Columns:
        """Keep the numbers, outline and parts of a brief; a name must not be another model's."""
        if "name" in fields:
            _check_name(desk, fields["name"], record)
        kept = dict(fields)
        if record is None:
            check_pointers(desk, fields, None, brief_id=Brief)
            kept |= taken_from(desk, present(desk, Brief, kept.pop("brief_id")))
        if "name" in fields:
            drawing = kept["drawing"] if record is None else record.drawing
            kept["drawing"] = {**drawing, "name": fields["name"]}
        return kept

    def show(self, desk: Desk, record: Kind) -> KindView:
        """The model, with its numbers and parts."""
        lengths = numbers_of(own_preset(record))
        return KindView(
            **view_fields(record, "name"),
            numbers={name: round(value, PLACES) for name, value in lengths.items()},
            as_typed=still_true(record.as_typed, lengths, SAME_MM),
            parts=[KindPart(**part) for part in record.parts],
        )


def taken_from(desk: Desk, brief: Brief) -> Columns:
    """The drawing and the parts of a brief, as a kind keeps them.

    The drawing holds every number, not what differs from another kind: so nothing that becomes of
    that one changes this.
    """
    made = instrument_of(brief)
    parts = [
        {"role": part.role, "name": part.name, "sizes": part.sizes}
        for part in listed(desk, Part, brief_id=brief.id)
    ]
    names = {part["role"]: part["name"] for part in parts}
    drawn = tuple(replace(part, name=names.get(part.role, part.name)) for part in made.parts)
    return {
        "drawing": data_of(replace(made, parts=drawn)),
        "parts": parts,
        "as_typed": typed_numbers(brief, made),
    }


def _check_name(desk: Desk, name: str, record: Kind | None) -> None:
    """Two kinds of one name could not be told apart where a brief is begun."""
    taken = desk.session.scalars(
        select(Kind.id).where(func.lower(Kind.name) == name.lower(), Kind.binned_utc.is_(None))
    ).first()
    known = {said.casefold() for _, said in presets()}
    if name.casefold() in known or (taken and (record is None or taken != record.id)):
        raise InputError.at(
            "name", f"There is already a kind called “{name}”; choose another name."
        )


kinds = Kinds()
