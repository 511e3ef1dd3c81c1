"""What every kind of record can do: be listed, made, read, changed, removed and taken back.

A noun is a subclass of `Noun` that says what is sent in (`draft`), what is shown (`show`), what
follows from what (`settle`), and what it cannot be without (`hangs_by`). Removing puts a record,
and what hangs on it, into the offcuts bin; taking it back brings all of it back.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from sqlalchemy import inspect, select

from brief.errors import Conflict, InputError, NotFound, quoted
from brief.services.fields import Draft, View, change_of
from brief.services.typed import keeping_texts
from brief.store.desk import Desk
from brief.store.records import Record, now_utc

R = TypeVar("R", bound=Record)
V = TypeVar("V", bound=View)

ENTITY_TAG = re.compile(r'(W/)?("[^"]*")')  # RFC 9110, 8.8.3


@dataclass(frozen=True)
class Removal:
    """What a removal took along, and what stays but uses it, in words; and the record it is
    known by.
    """

    noun: Noun[Any, Any]
    record: Record
    removed: str
    along: tuple[str, ...]
    used_by: tuple[str, ...]


class Noun(Generic[R, V]):
    """One kind of record. Subclasses fill in the class attributes, `settle` and `show`."""

    one: ClassVar[str]  # "motif"
    many: ClassVar[str]  # "motifs": its address
    record: type[R]
    draft: type[Draft]
    view: type[V]
    changeable: ClassVar[type[Draft] | None] = None  # what a change may say, if not as a draft
    settled: ClassVar[frozenset[str]] = frozenset()  # fields that a change cannot touch
    filters: ClassVar[tuple[str, ...]] = ("brief_id",)  # fields that a list can be narrowed by
    made_by_json = True  # not so what only a file can make
    # Fields that point at what a record makes no sense without, and goes where it goes; each
    # with the kind of record it points at, or None if the record's `about_kind` says that.
    hangs_by: ClassVar[dict[str, str | None]] = {"brief_id": "brief"}
    # Fields that point at what a record uses, one or several, and still points at when that is
    # removed.
    uses: ClassVar[tuple[str, ...]] = ()

    registry: ClassVar[dict[str, Noun[Any, Any]]] = {}  # by `one`

    def __init__(self) -> None:
        self.change_model = change_of(self.changeable or self.draft, without=self.settled)
        self.registry[self.one] = self

    @property
    def several(self) -> str:
        """ "finish tests": what `many` is in a sentence."""
        return self.many.replace("-", " ")

    # What a noun decides for itself.

    def settle(self, desk: Desk, fields: dict[str, Any], record: R | None) -> dict[str, Any]:
        """Check `fields` against other records and add what follows from them.

        `record` is the one to be changed, or None when one is being made.
        """
        return fields

    def show(self, desk: Desk, record: R) -> V:
        raise NotImplementedError

    def show_all(self, desk: Desk, records: Sequence[R]) -> list[V]:
        return [self.show(desk, record) for record in records]

    def label(self, record: R) -> str:
        """What a person would call this one."""
        raise NotImplementedError

    def public_label(self, record: R) -> str:
        """What it is called in what goes out to others."""
        return self.label(record)

    def vet(self, desk: Desk, record: R) -> None:
        """Raise InputError unless this one, which came whole from elsewhere, can be shown, and is
        nothing that `settle` would refuse of a draft. It writes no file.
        """
        self.show(desk, record)

    def follow(self, desk: Desk, record: R) -> None:
        """Do what follows elsewhere once this one was made, changed, removed or taken back."""

    # What all nouns do alike.

    def page(
        self,
        desk: Desk,
        *,
        after: str | None = None,
        limit: int | None = None,
        **wanted: str | None,
    ) -> Sequence[R]:
        """Up to `limit` records in the order they were made, from behind the id `after`.

        `wanted` narrows it to records that have these values in fields named by `filters`.
        """
        asked = select(self.record).where(self.record.binned_utc.is_(None))
        for name, value in wanted.items():
            if value is not None:
                if name == "brief_id":
                    self.registry["brief"].get(desk, value)
                asked = asked.where(getattr(self.record, name) == value)
        if after is not None:
            asked = asked.where(self.record.id > after)
        return desk.session.scalars(asked.order_by(self.record.id).limit(limit)).all()

    def get(self, desk: Desk, record_id: str, *, binned: bool = False) -> R:
        """The record, or NotFound. One that lies in the offcuts bin is found only if `binned`."""
        record = desk.session.get(self.record, record_id)
        if record is None:
            raise NotFound(
                f"There is no {self.one} {quoted(record_id[:26])}; it may never have been saved."
            )
        if record.binned_utc is not None and not binned:
            raise NotFound(
                f"The {self.one} “{self.label(record)}” is in the offcuts bin; take it back first."
            )
        return record

    def add(self, desk: Desk, draft: Draft) -> R:
        fields = self.settle(desk, dict(draft), None)
        record = self.record(**keeping_texts(self.record, fields, {}))
        desk.session.add(record)
        desk.session.flush()
        self.follow(desk, record)
        return record

    def change(self, desk: Desk, record_id: str, etag: str, change: Draft) -> R:
        """Change the fields that `change` names; Conflict unless `etag` is the present one.

        `etag` is * or a list of ETags, as If-Match has them: here and in `remove`.
        """
        record = self.get(desk, record_id)
        self._must_match(record, etag)
        if not change.model_fields_set:
            return record
        fields = {name: getattr(change, name) for name in change.model_fields_set}
        settled = self.settle(desk, fields, record)
        before = getattr(record, "as_typed", {})
        for name, value in keeping_texts(self.record, settled, before).items():
            setattr(record, name, value)
        record.changed_utc = now_utc()  # so that a change of links alone raises the version, too
        desk.session.flush()
        self.follow(desk, record)
        return record

    def along(self, desk: Desk, record: R) -> tuple[str, ...]:
        """What removing this one would take along, in words: ("1 palette", "5 swatches")."""
        return _in_words(self._all_that_hang_on(desk, record))

    def used_by(self, desk: Desk, record: R) -> tuple[str, ...]:
        """What stays but uses this one, or what would go along: ("Top of Saltmarsh",)."""
        return self._users(desk, [record, *self._all_that_hang_on(desk, record)])

    def remove(self, desk: Desk, record_id: str, etag: str) -> Removal:
        """Put the record and what hangs on it into the offcuts bin."""
        record = self.get(desk, record_id)
        self._must_match(record, etag)
        hanging = self._all_that_hang_on(desk, record)
        taken: list[Record] = [record, *hanging]
        used_by = self._users(desk, taken)
        for one in taken:
            one.binned_utc = now_utc()
            one.binned_with = record.id
        desk.session.flush()
        self.follow(desk, record)
        return Removal(self, record, self.label(record), _in_words(hanging), used_by)

    def take_back(self, desk: Desk, record_id: str) -> R:
        """Bring back the record and all that its removal took along."""
        record = self.get(desk, record_id, binned=True)
        if record.binned_with not in (None, record.id):
            raise InputError(
                f"The {self.one} “{self.label(record)}” was removed along with something else; "
                "take that back instead."
            )
        for holder in self._holders(desk, record):
            if holder.binned_utc is not None:
                noun = noun_of(holder)
                raise InputError(
                    f"The {self.one} “{self.label(record)}” hangs on the {noun.one} "
                    f"“{noun.label(holder)}”, which is in the offcuts bin. Take that back first."
                )
        for one in self._removed_with(desk, record):
            one.binned_utc = None
            one.binned_with = None
        desk.session.flush()
        self.follow(desk, record)
        return record

    def went_along(self, desk: Desk, record: R) -> tuple[str, ...]:
        """What the removal of this one took along, in words."""
        return _in_words(one for one in self._removed_with(desk, record) if one is not record)

    def _must_match(self, record: R, etag: str) -> None:
        strong = [tag for weak, tag in ENTITY_TAG.findall(etag) if not weak]
        if etag != "*" and etag_of(record) not in strong:  # RFC 9110, 13.1.1
            raise Conflict(
                f"The {self.one} “{self.label(record)}” was changed since this page was opened. "
                "Nothing was saved; look at what is there now and try again."
            )

    def _removed_with(self, desk: Desk, record: R) -> list[Record]:
        return [
            one
            for noun in self.registry.values()
            for one in desk.session.scalars(
                select(noun.record).where(noun.record.binned_with == record.id)
            )
        ]

    def _all_that_hang_on(self, desk: Desk, record: Record) -> list[Record]:
        found: dict[str, Record] = {}
        waiting = [record]
        while waiting:
            for hanging in self._hanging_on(desk, waiting.pop()):
                if hanging.binned_utc is None and hanging.id not in found:
                    found[hanging.id] = hanging
                    waiting.append(hanging)
        found.pop(record.id, None)
        return list(found.values())

    def _hanging_on(self, desk: Desk, record: Record) -> Iterator[Record]:
        kind = noun_of(record).one
        for noun in self.registry.values():
            for field, holding in noun.hangs_by.items():
                if holding in (kind, None):
                    pointer = getattr(noun.record, field)
                    yield from desk.session.scalars(select(noun.record).where(pointer == record.id))

    def _users(self, desk: Desk, taken: Sequence[Record]) -> tuple[str, ...]:
        ids = [one.id for one in taken]
        users: dict[str, str] = {}
        for noun in self.registry.values():
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
                    users[user.id] = noun.label(user)
                    if noun.one != "brief":
                        brief = self.registry["brief"].get(desk, user.brief_id)
                        users[user.id] += f" of {brief.title}"
        return tuple(label for user_id, label in users.items() if user_id not in ids)

    def _holders(self, desk: Desk, record: Any) -> Iterator[Record]:
        for field, kind in self.hangs_by.items():
            held_by = getattr(record, field)
            if held_by is not None:
                noun = self.registry[kind or record.about_kind]
                yield noun.get(desk, held_by, binned=True)


def noun_of(record: Record) -> Noun[Any, Any]:
    return next(noun for noun in Noun.registry.values() if isinstance(record, noun.record))


def etag_of(record: Record) -> str:
    return f'"{record.version}"'


def view_fields(record: Record, *names: str) -> dict[str, Any]:
    """The fields of every view, and those of `names`, as the record has them."""
    return {
        "etag": etag_of(record),
        **{name: getattr(record, name) for name in ("id", "created_utc", "changed_utc", *names)},
    }


def _in_words(records: Iterable[Record]) -> tuple[str, ...]:
    counts = Counter(noun_of(record).one for record in records)
    return tuple(
        f"{counts[one]} {noun.one if counts[one] == 1 else noun.several}"
        for one, noun in Noun.registry.items()
        if counts[one]
    )
