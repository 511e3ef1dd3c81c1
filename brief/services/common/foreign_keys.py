"""Fields that point at other records: that they exist, and belong to the same brief."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Literal, TypeVar

from brief.errors import InputError, NotFound
from brief.services.common.finding import look_up, present
from brief.services.common.naming import BY_KIND, kind_of_record, label, public_label
from brief.store.desk import Desk
from brief.store.records import Brief, Record

R = TypeVar("R", bound=Record)

# What a note or a comment may be about: the nouns, by their singular.
AboutKind = Literal[
    "brief", "motif", "reference", "palette", "swatch", "material", "pairing", "part"
]


def existing(desk: Desk, field: str, kind: type[R], record_id: str) -> R:
    """The record that `field` points at, or InputError at that field."""
    try:
        return present(desk, kind, record_id)
    except NotFound as exc:
        raise InputError.at(field, str(exc)) from exc


def check_pointers(
    desk: Desk, fields: Mapping[str, Any], record: Record | None, **kinds: type[Record]
) -> None:
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
                field, f"The {kind_of_record(kind)} “{label(found)}” is in another brief."
            )


def brief_id_of(record: Record) -> str | None:
    """The brief a record belongs to; None for what is on the rack."""
    found: str | None = (
        record.id if isinstance(record, Brief) else getattr(record, "brief_id", None)
    )
    return found


def named(desk: Desk, kind: str, record_id: str) -> Record:
    """What data names by its kind and id, even if it lies in the offcuts bin."""
    return present(desk, BY_KIND[kind], record_id, binned=True)


def look_up_named(desk: Desk, those: Iterable[tuple[str, str]]) -> None:
    """Read what data names by kind and id in one go for each kind; the desk holds it."""
    by_kind: dict[str, list[str]] = {}
    for kind, record_id in those:
        by_kind.setdefault(kind, []).append(record_id)
    for kind, ids in by_kind.items():
        look_up(desk, BY_KIND[kind], ids)


def label_of(desk: Desk, kind: str, record_id: str) -> str:
    """What the maker would call it, even if it lies in the offcuts bin."""
    return label(named(desk, kind, record_id))


def public_label_of(desk: Desk, kind: str, record_id: str) -> str:
    """What it is called in what goes out to others, even if it lies in the offcuts bin."""
    return public_label(named(desk, kind, record_id))
