"""Comments: what others, and the maker, say about a thing, a spot on its picture, or some words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, ClassVar, Literal

from pydantic import Field

from brief.errors import InputError
from brief.photo import Region
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    Quoted,
    RegionText,
    SomeText,
    Text,
    View,
    in_field,
)
from brief.services.common.foreign_keys import (
    AboutKind,
    brief_id_of,
    check_pointers,
    existing,
    label_of,
    named,
)
from brief.services.common.naming import BY_KIND
from brief.services.common.noun import Noun, view_fields
from brief.services.feedback.quotes import Quote, QuotedRun, in_context, places, runs
from brief.store.desk import Desk
from brief.store.records import Brief, Comment, Motif, Record, Reference, now_utc

CameBy = Literal["here", "file", "link"]
MAKER = "the maker"  # who says what nobody else is named for
QUOTE_FIELDS = ("quote", "quote_prefix", "quote_suffix")
GONE = "The words that it is about do not stand there any more."


class CommentDraft(Draft):
    """A comment as it is sent."""

    brief_id: Id
    about_kind: AboutKind
    about_id: Id
    region: RegionText | None = Field(None, description="A spot on the picture it is about")
    quote: Quoted = Field("", description="Words of a passage, a theme or a motif that it is about")
    quote_prefix: Quoted = Field("", description="What stands before them, to tell the place")
    quote_suffix: Quoted = Field("", description="What stands behind them")
    author: Line = Field("", description="Who says it; “the maker” if left out")
    text: SomeText
    state: Literal["open", "settled"] = "open"
    outcome: Text = Field("", description="What was done about it")
    reply_to: Id | None = None


class CommentView(View):
    """A comment as it is shown."""

    brief_id: Id
    about_kind: AboutKind
    about_id: Id
    about_label: str
    region: str | None
    quote: str
    quote_prefix: str
    quote_suffix: str
    author: str
    text: str
    said_utc: datetime = Field(description="When it was said; a file may bring it in later")
    came_by: CameBy = Field(description="Written down here, come in a file, or over a link")
    since: str = Field(description="What has become of what it is about, when it came in")
    state: Literal["open", "settled"]
    outcome: str
    reply_to: Id | None


class Comments(Noun[Comment, CommentView]):
    """Comments, and the replies to them."""

    record, draft, view = Comment, CommentDraft, CommentView
    settled = frozenset({"brief_id", "about_kind", "about_id", "reply_to"})
    filters = ("brief_id", "about_id", "state")
    hangs_by: ClassVar = {"brief_id": Brief, "about_id": None, "reply_to": Comment}

    def settle(self, desk: Desk, fields: Fields, record: Comment | None) -> Columns:
        """Check that what it is about and what it answers are in its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, reply_to=Comment)
        kept = dict(fields)
        if record is None:
            about = existing(desk, "about_id", BY_KIND[fields["about_kind"]], fields["about_id"])
            if brief_id_of(about) not in (None, fields["brief_id"]):
                raise InputError.at("about_id", "What this is about is in another brief.")
            if fields["reply_to"] is not None:
                replied_to = desk.session.get_one(Comment, fields["reply_to"])
                if replied_to.about_id != fields["about_id"]:
                    raise InputError.at("reply_to", "A reply is about what its comment is about.")
            kept["author"] = fields["author"] or MAKER
        else:
            about = named(desk, record.about_kind, record.about_id)
            if record.came_by != "here" and record.seen_utc is None:
                kept["seen_utc"] = now_utc()  # whoever settles it has read it
        if fields.keys() & set(QUOTE_FIELDS):
            kept |= quoted(about, fields, record)
        if fields.get("region"):
            with in_field("region"):
                kept["region"] = str(Region.parse(fields["region"]))
        return kept

    def add_from(self, desk: Desk, draft: CommentDraft, came_by: CameBy, **facts: Any) -> Comment:
        """Add what was not written down here. `facts` are further columns of `Comment`."""
        fields = self.settle(desk, dict(draft), None)
        comment = Comment(**fields | {"came_by": came_by} | facts)
        desk.session.add(comment)
        desk.session.flush()
        return comment

    def show(self, desk: Desk, record: Comment) -> CommentView:
        """The comment, with the label of what it is about."""
        return CommentView(
            **view_fields(
                record,
                "brief_id",
                "about_kind",
                "about_id",
                "region",
                *QUOTE_FIELDS,
                "author",
                "text",
                "came_by",
                "since",
                "state",
                "outcome",
                "reply_to",
            ),
            said_utc=record.said_utc or record.created_utc,
            about_label=label_of(desk, record.about_kind, record.about_id),
        )


def quote_of(comment: Comment | CommentView) -> Quote:
    """The words that a comment is about, with those before and after."""
    return Quote(comment.quote, comment.quote_prefix, comment.quote_suffix)


def marked(passage: str, comments: Sequence[CommentView]) -> list[QuotedRun]:
    """A passage cut where the words begin and end that comments quote."""
    return runs(passage, {one.id: quote_of(one) for one in comments if one.quote})


def words_of(about: Record) -> str:
    """The text of it that can be quoted: a passage, a theme, what a motif stands for."""
    match about:
        case Reference():
            return about.passage
        case Brief():
            return about.theme
        case Motif():
            return about.says
        case _:
            return ""


def quoted(
    about: Record, fields: Mapping[str, Any], record: Comment | None = None
) -> dict[str, str]:
    """The quote as it stands in the text; InputError unless it is in one place there.

    Without its words it is no quote, whatever stands round them.
    """
    asked = [fields[name] if name in fields else getattr(record, name) for name in QUOTE_FIELDS]
    if not asked[0]:
        return dict.fromkeys(QUOTE_FIELDS, "")
    text = words_of(about)
    if not text:
        raise InputError.at("quote", "This has no words that could be quoted.")
    found = places(text, Quote(*asked))
    if not found:
        raise InputError.at("quote", "These words do not stand there.")
    if len(found) > 1:
        raise InputError.at(
            "quote", f"These words stand there {len(found)} times; take in some more of them."
        )
    quote = in_context(text, found[0])
    return dict(zip(QUOTE_FIELDS, (quote.exact, quote.prefix, quote.suffix), strict=True))


comments = Comments()
