"""Revisions: a brief frozen as Rev A, B and so on, each with the whole of it as it was.

Letters go as on drawings, without I and O, which read as figures (common practice, no source);
after Z comes AA. A letter is used once, even if its revision lies in the offcuts bin; and none is
given where nothing has changed since the last.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from pydantic import Field
from sqlalchemy import select

from brief.errors import InputError, NothingChanged, quoted
from brief.services.common.field_types import Columns, Draft, Fields, Id, Text, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.history.changes.things import same_content
from brief.services.history.parcels.checks import check
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.parcel import Parcel
from brief.store.desk import Desk
from brief.store.records import Brief, Record, Revision

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


class RevisionDraft(Draft):
    """A revision as it is asked for."""

    brief_id: Id
    note: Text = Field("", description="Why it is frozen", examples=["as shown to the boatbuilder"])


class RevisionView(View):
    """A revision as it is shown."""

    brief_id: Id
    letter: str = Field(examples=["A"])
    note: str
    document: str = Field(description="Where the whole brief as it was then is")


class Revisions(Noun[Revision, RevisionView]):
    """Revisions of a brief."""

    record, draft, view = Revision, RevisionDraft, RevisionView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Revision | None) -> Columns:
        """Freeze the brief under the next letter; NothingChanged if it is as it was at the last."""
        check_pointers(desk, fields, record, brief_id=Brief)
        kept = dict(fields)
        if record is None:
            frozen = pack(desk, fields["brief_id"], offcuts=False, revisions=False)
            last = last_revision(desk, fields["brief_id"])
            if last is not None and same_content(document_of(last), frozen):
                raise NothingChanged(
                    f"Nothing has changed since Rev {last.letter}. To say why you show it again, "
                    "change its note."
                )
            kept["letter"] = _next_letter(desk, fields["brief_id"])
            kept["brief_version"] = frozen.records["briefs"][0]["version"]
            kept["document"] = frozen.model_dump(mode="json", by_alias=True)
        return kept

    def show(self, desk: Desk, record: Revision) -> RevisionView:
        """The revision, with the address of its document."""
        return RevisionView(
            **view_fields(record, "brief_id", "letter", "note"),
            document=f"/api/revisions/{record.id}/document",
        )

    def vet(self, desk: Desk, record: Revision) -> None:
        """Refuse a letter that no revision has; see `Noun.vet`."""
        if not re.fullmatch(f"[{LETTERS}]{{1,4}}", record.letter):
            raise InputError.at("letter", f"{quoted(record.letter)} is no letter of a revision")
        super().vet(desk, record)


def document_of(revision: Revision) -> Parcel:
    """The brief as it was, in the form that records have now."""
    document = Parcel.model_validate(revision.document)
    check(document)
    return document


def letter(count: int) -> str:
    """The letter of the revision before which there were `count`: A, B, ... Z, AA, AB, ...

    >>> [letter(count) for count in (0, 7, 8, 23, 24, 47, 48, 600)]
    ['A', 'H', 'J', 'Z', 'AA', 'AZ', 'BA', 'AAA']
    """
    name = ""
    count += 1
    while count:
        count, place = divmod(count - 1, len(LETTERS))
        name = LETTERS[place] + name
    return name


def count_before(name: str) -> int:
    """How many letters come before this one; `letter` the other way round."""
    count = 0
    for sign in name:
        count = count * len(LETTERS) + LETTERS.index(sign) + 1
    return count - 1


def last_revision(desk: Desk, brief_id: str) -> Revision | None:
    """The newest that does not lie in the offcuts bin."""
    found = desk.session.scalars(
        select(Revision)
        .where(Revision.brief_id == brief_id, Revision.binned_utc.is_(None))
        .order_by(Revision.id.desc())
    )
    return found.first()


def revision_words(desk: Desk, brief: Brief, shown: Sequence[Record] = ()) -> str:
    """What a drawing says of its revision: "B", or "B + 2" two changes after it; "none + 2"
    where none was frozen yet, so that two prints of one day can be told apart.

    Only what the drawing is made of is counted: what the brief itself says, and `shown`.
    """
    last = last_revision(desk, brief.id)
    if last is None:
        return f"none + {brief.version + sum(one.version for one in shown)}"
    since = brief.version - last.brief_version
    since += sum(one.changed_utc > last.created_utc for one in shown)
    return f"{last.letter} + {since}" if since else last.letter


def _next_letter(desk: Desk, brief_id: str) -> str:
    used = desk.session.scalars(select(Revision.letter).where(Revision.brief_id == brief_id))
    return letter(1 + max((count_before(name) for name in used), default=-1))


revisions = Revisions()
