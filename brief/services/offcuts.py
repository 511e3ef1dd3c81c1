"""The offcuts bin: removing a record takes along what hangs on it; taking it back brings back all
that its removal took.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from pydantic import BaseModel, Field
from sqlalchemy import inspect, select

from brief.english import number_of
from brief.errors import InputError
from brief.services.common.finding import in_lots, present
from brief.services.common.naming import BY_KIND, kind_of_record, label
from brief.services.common.noun import Noun, must_match
from brief.services.nouns import NOUNS
from brief.store.desk import Desk
from brief.store.records import Brief, Record, now_utc

R = TypeVar("R", bound=Record)
Hanging = tuple[type[Record], str]  # its kind and its id


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
            along=list(
                _in_words(type(one) for one in _went_with(desk, record) if one is not record)
            ),
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
    return along_each(desk, [record])[record.id]


def along_each(desk: Desk, records: Sequence[Record]) -> dict[str, tuple[str, ...]]:
    """The same of each of several of one kind, by id; looked up once for all."""
    return {root: _in_words(kind for kind, _ in of) for root, of in _hanging(desk, records).items()}


def used_by(desk: Desk, record: Record, most: int | None = None) -> tuple[str, ...]:
    """What stays but uses this one, or what would go along: ("Top of Saltmarsh",).

    most : how many are named; beyond that they are counted: ("Top of Saltmarsh", "7 more").
    """
    hanging = _hanging(desk, [record])[record.id]
    return _users(desk, [(type(record), record.id), *hanging], most)


def remove(desk: Desk, noun: Noun[R, Any], record_id: str, etag: str) -> Removal:
    """Put the record and what hangs on it into the bin; `etag` is as `must_match` has it."""
    record = noun.get(desk, record_id)
    must_match(record, etag)
    hanging = _hanging(desk, [record])[record.id]
    users = _users(desk, [(type(record), record.id), *hanging])
    taken: list[Record] = [record, *(desk.session.get_one(*one) for one in hanging)]
    for one in taken:
        one.binned_utc = now_utc()
        one.binned_with = record.id
    desk.session.flush()
    noun.follow(desk, record)
    return Removal(label(record), _in_words(kind for kind, _ in hanging), users)


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


def _hanging(desk: Desk, records: Sequence[Record]) -> dict[str, list[Hanging]]:
    """All that hangs on each of several records of one kind, by its id: what hangs on it itself, on
    that, and so on. A wave of all of them is looked up at once.
    """
    held: dict[str, list[Hanging]] = {one.id: [] for one in records}
    seen: set[str] = set(held)
    wave: dict[type[Record], list[str]] = {type(one): list(held) for one in records[:1]}
    nouns = NOUNS
    while wave:
        following: dict[type[Record], list[str]] = {}
        for kind, ids in wave.items():
            for holder, hanging in _hanging_on(desk, kind, ids, nouns):
                held.setdefault(holder, []).append(hanging)
                if hanging[1] not in seen:
                    seen.add(hanging[1])
                    following.setdefault(hanging[0], []).append(hanging[1])
        if Brief in wave:  # what belongs to a brief has been found by that, whatever else holds it
            nouns = tuple(noun for noun in nouns if "brief_id" not in noun.hangs_by)
        wave = following
    return {one.id: _all_below(held, one.id) for one in records}


def _all_below(held: Mapping[str, Sequence[Hanging]], record_id: str) -> list[Hanging]:
    found: dict[Hanging, None] = {}
    waiting = [record_id]
    while waiting:
        for hanging in held.get(waiting.pop(), ()):
            if hanging not in found and hanging[1] != record_id:
                found[hanging] = None
                waiting.append(hanging[1])
    return list(found)


def _hanging_on(
    desk: Desk, kind: type[Record], ids: Sequence[str], nouns: Sequence[Noun[Any, Any]]
) -> Iterator[tuple[str, Hanging]]:
    """What of these kinds is not in the bin and points at one of those: the id of that, and what it
    is.
    """
    for noun in nouns:
        for field, holding in noun.hangs_by.items():
            if holding in (kind, None):
                pointer = getattr(noun.record, field)
                asked = select(pointer, noun.record.id).where(noun.record.binned_utc.is_(None))
                for lot in in_lots(ids):
                    part = asked.where(pointer.in_(lot))
                    for holder, one_id in desk.session.execute(part.order_by(noun.record.id)):
                        yield holder, (noun.record, one_id)


def _users(desk: Desk, taken: Sequence[Hanging], most: int | None = None) -> tuple[str, ...]:
    ids = {one_id for _, one_id in taken}
    users = [one for one in _using(desk, taken) if one[1] not in ids]
    said = [_named_user(desk, desk.session.get_one(*one)) for one in users[:most]]
    return (*said, *([f"{len(users) - len(said)} more"] if len(said) < len(users) else []))


def _named_user(desk: Desk, user: Any) -> str:
    if isinstance(user, Brief):
        return label(user)
    return f"{label(user)} of {present(desk, Brief, user.brief_id).title}"


def _using(desk: Desk, taken: Sequence[Hanging]) -> list[Hanging]:
    """What is not in the bin and uses one of these, each once."""
    ids, tables = [one_id for _, one_id in taken], {kind.__table__ for kind, _ in taken}
    found: dict[Hanging, None] = {}
    for noun in NOUNS:
        for field in noun.uses:
            pointer = getattr(noun.record, field)
            links = inspect(noun.record).relationships
            if field in links:  # to several
                used = links[field].mapper.class_
                of_these, of = pointer.any(used.id.in_(ids)), {used.__table__}
            else:
                of_these = pointer.in_(ids)
                # One that is no foreign key may point at anything.
                of = {one.column.table for one in pointer.property.columns[0].foreign_keys}
            if of and not of & tables:
                continue
            asked = select(noun.record.id).where(of_these, noun.record.binned_utc.is_(None))
            for user_id in desk.session.scalars(asked.order_by(noun.record.id)):
                found[noun.record, user_id] = None
    return list(found)


def _holders(desk: Desk, noun: Noun[R, Any], record: Any) -> Iterator[Record]:
    for field, kind in noun.hangs_by.items():
        held_by = getattr(record, field)
        if held_by is not None:
            yield present(desk, kind or BY_KIND[record.about_kind], held_by, binned=True)


def _in_words(kinds: Iterable[type[Record]]) -> tuple[str, ...]:
    counts = Counter(kinds)
    return tuple(
        number_of(counts[noun.record], noun.one, noun.several)
        for noun in NOUNS
        if counts[noun.record]
    )
