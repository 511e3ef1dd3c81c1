"""Notes on anything: why it was chosen, or what to think of."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from brief.services.common.field_types import Columns, Draft, Fields, Id, SomeText, View
from brief.services.common.foreign_keys import AboutKind, brief_id_of, existing, label_of
from brief.services.common.naming import BY_KIND
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Note


class NoteDraft(Draft):
    """A note as it is sent."""

    about_kind: AboutKind
    about_id: Id
    text: SomeText
    private: bool = Field(True, description="Kept from whoever the brief is shared with")


class NoteView(View):
    """A note as it is shown."""

    brief_id: Id | None = Field(description="None for a note on a material of the rack")
    about_kind: AboutKind
    about_id: Id
    about_label: str
    text: str
    private: bool


class Notes(Noun[Note, NoteView]):
    """Notes on anything in a brief or on the rack."""

    record, draft, view = Note, NoteDraft, NoteView
    settled = frozenset({"about_kind", "about_id"})
    filters = ("brief_id", "about_id")
    hangs_by: ClassVar = {"brief_id": Brief, "about_id": None}

    def settle(self, desk: Desk, fields: Fields, record: Note | None) -> Columns:
        """Find the brief of what it is about; see `Noun.settle`."""
        if record is not None:
            return dict(fields)
        about = existing(desk, "about_id", BY_KIND[fields["about_kind"]], fields["about_id"])
        return {**fields, "brief_id": brief_id_of(about)}

    def show(self, desk: Desk, record: Note) -> NoteView:
        """The note, with the label of what it is about."""
        return NoteView(
            **view_fields(record, "brief_id", "about_kind", "about_id", "text", "private"),
            about_label=label_of(desk, record.about_kind, record.about_id),
        )


notes = Notes()
