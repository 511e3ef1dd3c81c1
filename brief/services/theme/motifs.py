"""The motifs of a brief: what its theme is made of."""

from __future__ import annotations

from pydantic import Field

from brief.services.common.field_types import Columns, Draft, Fields, Id, Text, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Motif


class MotifDraft(Draft):
    """A motif as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["slack water"])
    says: Text = Field("", description="What it stands for")


class MotifView(View):
    """A motif as it is shown."""

    brief_id: Id
    name: str
    says: str


class Motifs(Noun[Motif, MotifView]):
    """The motifs of a brief."""

    record, draft, view = Motif, MotifDraft, MotifView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Motif | None) -> Columns:
        """Check its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields)

    def show(self, desk: Desk, record: Motif) -> MotifView:
        """The motif."""
        return MotifView(**view_fields(record, "brief_id", "name", "says"))


motifs = Motifs()
