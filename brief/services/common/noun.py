"""What every kind of record can do: be listed, made, read and changed.

A noun is a subclass of `Noun` that says what is sent in (`draft`), what is shown (`show`), what
follows from what (`settle`), and what it cannot be without (`hangs_by`). A noun that needs another
one imports it; `nouns.py` has all of them, and `offcuts.py` removes them and takes them back.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import ClassVar, Generic, TypeVar

from brief.errors import Conflict
from brief.services.common.field_types import Columns, Draft, Fields, View, change_of
from brief.services.common.finding import listed, present
from brief.services.common.naming import in_addresses, kind_of_record, label, several
from brief.services.common.typed_numbers import keeping_texts
from brief.store.desk import Desk
from brief.store.records import Brief, Record, now_utc

R = TypeVar("R", bound=Record)
V = TypeVar("V", bound=View)

ENTITY_TAG = re.compile(r'(W/)?("[^"]*")')  # RFC 9110, 8.8.3


class Noun(Generic[R, V]):
    """One kind of record. Subclasses fill in the class attributes, `settle` and `show`."""

    record: type[R]
    draft: type[Draft]
    view: type[V]
    changeable: ClassVar[type[Draft] | None] = None  # what a change may say, if not as a draft
    settled: ClassVar[frozenset[str]] = frozenset()  # fields that a change cannot touch
    filters: ClassVar[tuple[str, ...]] = ("brief_id",)  # fields that a list can be narrowed by
    made_by_json = True  # not so what only a file can make
    # Fields that point at what a record makes no sense without, and goes where it goes; each
    # with the kind of record it points at, or None if the record's `about_kind` says that.
    hangs_by: ClassVar[Mapping[str, type[Record] | None]] = {"brief_id": Brief}
    # Fields that point at what a record uses, one or several, and still points at when that is
    # removed.
    uses: ClassVar[tuple[str, ...]] = ()

    def __init__(self) -> None:
        self.change_model = change_of(self.changeable or self.draft, without=self.settled)

    @property
    def one(self) -> str:
        """ "finish test": one of them, in a sentence and in data."""
        return kind_of_record(self.record)

    @property
    def many(self) -> str:
        """ "finish-tests": their address."""
        return in_addresses(self.record)

    @property
    def several(self) -> str:
        """ "finish tests": what several are in a sentence."""
        return several(self.record)

    # What a noun decides for itself.

    def settle(self, desk: Desk, fields: Fields, record: R | None) -> Columns:
        """Check `fields` against other records; what to keep is they, and what follows from them.

        `record` is the one to be changed, or None when one is being made.
        """
        return dict(fields)

    def show(self, desk: Desk, record: R) -> V:
        """The record as it is shown."""
        raise NotImplementedError

    def show_all(self, desk: Desk, records: Sequence[R]) -> list[V]:
        """Several records as they are shown; here a noun can look things up once for all."""
        return [self.show(desk, record) for record in records]

    def vet(self, desk: Desk, record: R) -> None:
        """Raise InputError unless this one, which came whole from elsewhere, is sound.

        It can be shown, and has nothing that `settle` would refuse of a draft. It writes no file.
        """
        self.show(desk, record)

    def follow(self, desk: Desk, record: R) -> None:
        """Do what follows elsewhere once this one was made, changed, removed or taken back."""

    def check_return(self, desk: Desk, record: R) -> None:
        """Raise InputError if this one, just out of the offcuts bin, has lost its place there."""

    # What all nouns do alike.

    def page(
        self,
        desk: Desk,
        *,
        after: str | None = None,
        limit: int | None = None,
        **wanted: str | None,
    ) -> Sequence[R]:
        """As `listed`; `wanted` are fields named by `filters`."""
        return listed(desk, self.record, after=after, limit=limit, **wanted)

    def get(self, desk: Desk, record_id: str, *, binned: bool = False) -> R:
        """As `present`."""
        return present(desk, self.record, record_id, binned=binned)

    def add(self, desk: Desk, draft: Draft) -> R:
        """Make a record from a draft; errors as `settle`."""
        fields = self.settle(desk, dict(draft), None)
        record = self.record(**keeping_texts(self.record, fields, {}))
        desk.session.add(record)
        desk.session.flush()
        self.follow(desk, record)
        return record

    def change(self, desk: Desk, record_id: str, etag: str, change: Draft) -> R:
        """Change the fields that `change` names; Conflict unless `etag` is the present one.

        `etag` is as `must_match` has it.
        """
        record = self.get(desk, record_id)
        must_match(record, etag)
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


def etag_of(record: Record) -> str:
    """The ETag of a record: its version, in quotes."""
    return f'"{record.version}"'


def must_match(record: Record, etag: str) -> None:
    """Raise Conflict unless `etag` is the present one of the record.

    etag : * or a list of ETags, as If-Match has them.
    """
    strong = [tag for weak, tag in ENTITY_TAG.findall(etag) if not weak]
    if etag != "*" and etag_of(record) not in strong:  # RFC 9110, 13.1.1
        raise Conflict(
            f"The {kind_of_record(type(record))} “{label(record)}” was changed since this page was "
            "opened. Nothing was saved; look at what is there now and try again."
        )


def view_fields(record: Record, *names: str) -> Fields:
    """The fields of every view, and those of `names`, as the record has them."""
    return {
        "etag": etag_of(record),
        **{name: getattr(record, name) for name in ("id", "created_utc", "changed_utc", *names)},
    }
