"""What was noted and said of a brief, as far as those outside see what it is about."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TypeVar

from sqlalchemy import select

from brief.services import nouns
from brief.services.common.finding import present
from brief.services.common.naming import BY_KIND
from brief.services.feedback.comments import quote_of, words_of
from brief.services.feedback.quotes import places
from brief.services.sharing import privacy
from brief.services.sharing.seen import CommentSaid
from brief.services.sharing.share_scope import Scope
from brief.store.records import Comment

T = TypeVar("T")


def notes_said(scope: Scope, shown: Collection[str]) -> dict[str, tuple[str, ...]]:
    """What the maker noted of these and opened, by the id of each."""
    return by_thing(
        (note.about_id, note.text)
        for note in scope.page(nouns.notes)
        if scope.is_open(note) and note.about_id in shown
    )


def comments_said(scope: Scope, shown: Collection[str]) -> dict[str, tuple[CommentSaid, ...]]:
    """What was said of these, by the id of each; for who reads an older state, as it is now."""
    comments = scope.live.session.scalars(
        select(Comment)
        .where(
            Comment.brief_id == scope.brief.id,
            Comment.about_id.in_(shown),
            Comment.binned_utc.is_(None),
        )
        .order_by(Comment.id)
    ).all()
    replies = by_thing((one.reply_to, _as_said(scope, one)) for one in comments if one.reply_to)
    return by_thing(
        (one.about_id, _as_said(scope, one, replies.get(one.id, ())))
        for one in comments
        if one.reply_to is None
    )


def _as_said(scope: Scope, comment: Comment, replies: tuple[CommentSaid, ...] = ()) -> CommentSaid:
    quote = comment.quote
    if quote and scope.desk is not scope.live:
        # Words quoted from the brief as it is now are not for who reads it as it was.
        about = present(scope.desk, BY_KIND[comment.about_kind], comment.about_id)
        quote = quote if places(words_of(about), quote_of(comment)) else ""
    return privacy.of_comment(comment, quote=quote, replies=replies)


def by_thing(pairs: Iterable[tuple[str, T]]) -> dict[str, tuple[T, ...]]:
    """What belongs to each, in the order that it came."""
    found: dict[str, tuple[T, ...]] = {}
    for about, one in pairs:
        found[about] = (*found.get(about, ()), one)
    return found
