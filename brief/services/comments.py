"""Comments: what others, and the maker, say about a thing or a spot on its picture."""

from __future__ import annotations

from typing import Any, ClassVar, Literal

from pydantic import Field

from brief.errors import InputError
from brief.photo import Region
from brief.services.fields import Draft, Id, Line, RegionText, SomeText, Text, View, in_field
from brief.services.noun import Noun, view_fields
from brief.services.pointers import (
    AboutKind,
    brief_id_of,
    check_pointers,
    existing,
    label_of,
    shortened,
)
from brief.store.desk import Desk
from brief.store.records import Comment


class CommentDraft(Draft):
    brief_id: Id
    about_kind: AboutKind
    about_id: Id
    region: RegionText | None = Field(None, description="A spot on the picture it is about")
    author: Line = Field("", description="Who says it; “the maker” if left out")
    text: SomeText
    state: Literal["open", "settled"] = "open"
    outcome: Text = Field("", description="What was done about it")
    reply_to: Id | None = None


class CommentView(View):
    brief_id: Id
    about_kind: AboutKind
    about_id: Id
    about_label: str
    region: str | None
    author: str
    text: str
    state: Literal["open", "settled"]
    outcome: str
    reply_to: Id | None


class Comments(Noun[Comment, CommentView]):
    one, many = "comment", "comments"
    record, draft, view = Comment, CommentDraft, CommentView
    settled = frozenset({"brief_id", "about_kind", "about_id", "reply_to"})
    filters = ("brief_id", "about_id", "state")
    hangs_by: ClassVar = {"brief_id": "brief", "about_id": None, "reply_to": "comment"}

    def settle(self, desk: Desk, fields: dict[str, Any], record: Comment | None) -> dict[str, Any]:
        check_pointers(desk, fields, record, brief_id="brief", reply_to="comment")
        if record is None:
            about = existing(desk, "about_id", fields["about_kind"], fields["about_id"])
            if brief_id_of(about) not in (None, fields["brief_id"]):
                raise InputError.at("about_id", "What this is about is in another brief.")
            if fields["reply_to"] is not None:
                replied_to = desk.session.get_one(Comment, fields["reply_to"])
                if replied_to.about_id != fields["about_id"]:
                    raise InputError.at("reply_to", "A reply is about what its comment is about.")
            fields["author"] = fields["author"] or "the maker"
        if fields.get("region"):
            with in_field("region"):
                fields["region"] = str(Region.parse(fields["region"]))
        return fields

    def show(self, desk: Desk, record: Comment) -> CommentView:
        return CommentView(
            **view_fields(
                record,
                "brief_id",
                "about_kind",
                "about_id",
                "region",
                "author",
                "text",
                "state",
                "outcome",
                "reply_to",
            ),
            about_label=label_of(desk, record.about_kind, record.about_id),
        )

    def label(self, record: Comment) -> str:
        return shortened(record.text)
