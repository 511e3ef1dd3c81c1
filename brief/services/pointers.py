"""Fields that point at other records: that they exist, and belong to the same brief."""

from __future__ import annotations

from typing import Any, Literal

from brief.errors import InputError, NotFound
from brief.services.noun import Noun
from brief.store.desk import Desk
from brief.store.records import Brief, Record

# What a note or a comment may be about: the nouns, by their singular.
AboutKind = Literal[
    "brief", "motif", "reference", "palette", "swatch", "material", "pairing", "part"
]


def existing(desk: Desk, field: str, kind: str, record_id: str) -> Record:
    """The record that `field` points at, or InputError at that field."""
    try:
        found: Record = Noun.registry[kind].get(desk, record_id)
    except NotFound as exc:
        raise InputError.at(field, str(exc)) from exc
    return found


def check_pointers(desk: Desk, fields: dict[str, Any], record: Record | None, **kinds: str) -> None:
    """Check that each field named in `kinds`, if given, points at a record of its kind.

    What belongs to a brief must belong to the brief of the record that points at it.
    """
    brief_id = brief_id_of(record) if record else fields.get("brief_id")
    for field, kind in kinds.items():
        if fields.get(field) is None:
            continue
        found = existing(desk, field, kind, fields[field])
        if brief_id_of(found) not in (None, brief_id):
            raise InputError.at(
                field, f"The {kind} “{Noun.registry[kind].label(found)}” is in another brief."
            )


def brief_id_of(record: Record) -> str | None:
    """The brief a record belongs to; None for what is on the rack."""
    found: str | None = (
        record.id if isinstance(record, Brief) else getattr(record, "brief_id", None)
    )
    return found


def label_of(desk: Desk, kind: str, record_id: str) -> str:
    """What a person would call it, even if it lies in the offcuts bin."""
    noun = Noun.registry[kind]
    return noun.label(noun.get(desk, record_id, binned=True))


def public_label_of(desk: Desk, kind: str, record_id: str) -> str:
    """What it is called in what goes out to others, even if it lies in the offcuts bin."""
    noun = Noun.registry[kind]
    return noun.public_label(noun.get(desk, record_id, binned=True))


def shortened(text: str, longest: int = 40) -> str:
    line = " ".join(text.split())
    return line if len(line) <= longest else line[: longest - 1].rstrip() + "…"
