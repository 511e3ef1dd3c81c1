"""What is new: comments that came in by a file or a link, until the maker says they are seen.

A page that was shown is not a page that was read, and pages write nothing; so the maker presses
"Mark all as seen", which counts for what stood on the page, not for what has come in since.
"""

from __future__ import annotations

from pydantic import BaseModel, Field
from sqlalchemy import ColumnElement, func, select, update

from brief.services.common.field_types import Draft, Id
from brief.services.feedback.comments import CommentView
from brief.services.nouns import briefs, comments
from brief.store.desk import Desk
from brief.store.records import Comment, now_utc


class SeenDraft(Draft):
    """Which comments the maker has seen."""

    upto: Id = Field(description="The “upto” of what was looked at: what came later stays new")


class NewsView(BaseModel):
    """What is new on a brief, and how much is still open."""

    comments: list[CommentView] = Field(description="New ones, in the order they came in")
    open: int = Field(description="How many are open, without replies, seen or not")
    upto: Id | None = Field(description="The latest of them; null if nothing is new")


class Counts(BaseModel):
    """How many comments are new, and how many are open."""

    new: int
    open: int


def news(desk: Desk, brief_id: str) -> NewsView:
    """What is new on a brief."""
    briefs.get(desk, brief_id)
    new = desk.session.scalars(select(Comment).where(*_new(brief_id)).order_by(Comment.id)).all()
    return NewsView(
        comments=comments.show_all(desk, new),
        open=counts(desk, brief_id).open,
        upto=new[-1].id if new else None,
    )


def counts(desk: Desk, brief_id: str) -> Counts:
    """How many comments of a brief are new, replies too, and how many are open, without replies."""
    still_open = (
        Comment.brief_id == brief_id,
        Comment.binned_utc.is_(None),
        Comment.reply_to.is_(None),
        Comment.state == "open",
    )
    new, open_ = (
        desk.session.scalar(select(func.count(Comment.id)).where(*those)) or 0
        for those in (_new(brief_id), still_open)
    )
    return Counts(new=new, open=open_)


def new_ids(desk: Desk, brief_id: str) -> set[str]:
    """The ids of the comments of a brief that are new."""
    return set(desk.session.scalars(select(Comment.id).where(*_new(brief_id))))


def new_about(desk: Desk, brief_id: str) -> dict[str, int]:
    """How many comments of a brief are new, by the id of what they are about."""
    asked = select(Comment.about_id, func.count(Comment.id)).where(*_new(brief_id))
    rows = desk.session.execute(asked.group_by(Comment.about_id)).all()
    return {row[0]: row[1] for row in rows}


def mark_seen(desk: Desk, brief_id: str, upto: str) -> NewsView:
    """Take what came in up to that comment for seen; returns what is new still.

    It is no change of a comment: nothing that it says has changed, nor has its ETag.
    """
    briefs.get(desk, brief_id)
    desk.session.execute(
        update(Comment)
        .where(*_new(brief_id), Comment.id <= upto)
        .values(seen_utc=now_utc(), changed_utc=Comment.changed_utc)
        .execution_options(synchronize_session="fetch")
    )
    return news(desk, brief_id)


def _new(brief_id: str) -> tuple[ColumnElement[bool], ...]:
    return (
        Comment.brief_id == brief_id,
        Comment.binned_utc.is_(None),
        Comment.came_by != "here",
        Comment.seen_utc.is_(None),
    )
