"""The offcuts bin: removing a record takes along what hangs on it; taking it back brings back all
that its removal took.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from pydantic import BaseModel, Field
from sqlalchemy import inspect, select

from brief.english import number_of
from brief.errors import InputError
from brief.services.common.finding import present
from brief.services.common.naming import BY_KIND, kind_of_record, label
from brief.services.common.noun import Noun, must_match
from brief.services.nouns import NOUNS
from brief.store.desk import Desk
from brief.store.records import Brief, Record, now_utc

R = TypeVar("R", bound=Record)


class OffcutView(BaseModel):
    """One removal, by the thing that was removed."""

    kind: str = Field(examples=["reference"])
    id: str
    label: str
    removed_utc: datetime
    along: list[str] = Field(description="What its removal took along", examples=[["1 palette"]])
    take_back: str = Field(description="POST here to bring all of it back")


@dataclass(frozen=True)
class Removal:
    """What a removal took along, and what stays but uses it, in words."""

    removed: str
    along: tuple[str, ...]
    used_by: tuple[str, ...]


def offcuts(desk: Desk) -> list[OffcutView]:
    """What lies in the offcuts bin, latest first."""
    found = [
        OffcutView(
            kind=noun.one,
            id=record.id,
            label=label(record),
            removed_utc=record.binned_utc,
            along=list(_in_words(one for one in _went_with(desk, record) if one is not record)),
            take_back=f"/api/{noun.many}/{record.id}/take-back",
        )
        for noun in NOUNS
        for record in desk.session.scalars(
            select(noun.record).where(noun.record.binned_with == noun.record.id)
        )
    ]
    return sorted(found, key=lambda offcut: offcut.removed_utc, reverse=True)


def along(desk: Desk, record: Record) -> tuple[str, ...]:
    """What removing this one would take along, in words: ("1 palette", "5 swatches")."""
    return _in_words(_all_that_hang_on(desk, record))


def used_by(desk: Desk, record: Record) -> tuple[str, ...]:
    """What stays but uses this one, or what would go along: ("Top of Saltmarsh",)."""
    return _users(desk, [record, *_all_that_hang_on(desk, record)])


def remove(desk: Desk, noun: Noun[R, Any], record_id: str, etag: str) -> Removal:
    """Put the record and what hangs on it into the bin; `etag` is as `must_match` has it."""
    record = noun.get(desk, record_id)
    must_match(record, etag)
    hanging = _all_that_hang_on(desk, record)
    taken: list[Record] = [record, *hanging]
    users = _users(desk, taken)
    for one in taken:
        one.binned_utc = now_utc()
        one.binned_with = record.id
    desk.session.flush()
    noun.follow(desk, record)
    return Removal(label(record), _in_words(hanging), users)


def take_back(desk: Desk, noun: Noun[R, Any], record_id: str) -> R:
    """Bring back the record and all that its removal took along."""
    record = noun.get(desk, record_id, binned=True)
    if record.binned_with not in (None, record.id):
        raise InputError(
            f"The {noun.one} “{label(record)}” was removed along with something else; "
            "take that back instead."
        )
    for holder in _holders(desk, noun, record):
        if holder.binned_utc is not None:
            raise InputError(
                f"The {noun.one} “{label(record)}” hangs on the {kind_of_record(type(holder))} "
                f"“{label(holder)}”, which is in the offcuts bin. Take that back first."
            )
    for one in _went_with(desk, record):
        one.binned_utc = None
        one.binned_with = None
    desk.session.flush()
    noun.follow(desk, record)
    noun.check_return(desk, record)
    return record


def _went_with(desk: Desk, record: Record) -> list[Record]:
    """What the removal of a record put into the bin, itself among it."""
    return [
        one
        for noun in NOUNS
        for one in desk.session.scalars(
            select(noun.record).where(noun.record.binned_with == record.id)
        )
    ]


def _all_that_hang_on(desk: Desk, record: Record) -> list[Record]:
    found: dict[str, Record] = {}
    waiting = [record]
    while waiting:
        for hanging in _hanging_on(desk, waiting.pop()):
            if hanging.binned_utc is None and hanging.id not in found:
                found[hanging.id] = hanging
                waiting.append(hanging)
    found.pop(record.id, None)
    return list(found.values())


def _hanging_on(desk: Desk, record: Record) -> Iterator[Record]:
    for noun in NOUNS:
        for field, holding in noun.hangs_by.items():
            if holding in (type(record), None):
                pointer = getattr(noun.record, field)
                yield from desk.session.scalars(select(noun.record).where(pointer == record.id))


def _users(desk: Desk, taken: Sequence[Record]) -> tuple[str, ...]:
    ids = [one.id for one in taken]
    users: dict[str, str] = {}
    for noun in NOUNS:
        for field in noun.uses:
            pointer = getattr(noun.record, field)
            links = inspect(noun.record).relationships
            if field in links:  # to several
                of_these = pointer.any(links[field].mapper.class_.id.in_(ids))
            else:
                of_these = pointer.in_(ids)
            for user in desk.session.scalars(
                select(noun.record)
                .where(of_these, noun.record.binned_utc.is_(None))
                .order_by(noun.record.id)
            ):
                users[user.id] = label(user)
                if not isinstance(user, Brief):
                    users[user.id] += f" of {present(desk, Brief, user.brief_id).title}"
    return tuple(words for user_id, words in users.items() if user_id not in ids)


def _holders(desk: Desk, noun: Noun[R, Any], record: Any) -> Iterator[Record]:
    for field, kind in noun.hangs_by.items():
        held_by = getattr(record, field)
        if held_by is not None:
            yield present(desk, kind or BY_KIND[record.about_kind], held_by, binned=True)


def _in_words(records: Iterable[Record]) -> tuple[str, ...]:
    counts = Counter(type(record) for record in records)
    return tuple(
        number_of(counts[noun.record], noun.one, noun.several)
        for noun in NOUNS
        if counts[noun.record]
    )
