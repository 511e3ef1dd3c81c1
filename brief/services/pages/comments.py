"""The Comments sheet: what is said, and what is asked of others."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from brief.photo import Region
from brief.services import nouns
from brief.services.common.foreign_keys import named
from brief.services.common.naming import label
from brief.services.common.noun import Noun
from brief.services.drawing.instrument_drawing import FrontSpot, front_spot
from brief.services.drawing.thumbnails import Thumbnail, face
from brief.services.feedback import annotation_model
from brief.services.feedback.comments import CommentView
from brief.services.feedback.questions import QuestionView, kept_in
from brief.services.feedback.unread import new_ids
from brief.services.pages.shared import (
    Along,
    Choices,
    WholeFront,
    along,
    grouped,
    views,
    whole_front,
)
from brief.services.pairing.view_settings import Shown
from brief.services.photos.pictures import PictureView
from brief.services.rack.materials import MaterialView
from brief.services.theme.references import ReferenceView
from brief.store.desk import Desk
from brief.store.records import Brief, Record

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Filter:
    """Which comments are asked for: by whom, about the thing of which id, in which state; empty
    for all.
    """

    who: str = ""
    where: str = ""
    state: str = ""

    @property
    def narrows(self) -> bool:
        """Whether any comment may be left out."""
        return any((self.who, self.where, self.state))


@dataclass(frozen=True)
class CommentsSheet:
    """all_comments : those asked for, open ones first, newest first, out of `total`; replies : by
    the id of what they reply to. new : ids, `upto` the latest of them. pictures, front_spots : what
    they are about, by its id, and spots on the front, by the id of the comment.
    """

    all_comments: Sequence[CommentView]
    total: int
    replies: Mapping[str, Sequence[CommentView]]
    new: Collection[str]
    upto: str | None
    along: Along
    asked_for: Filter
    authors: Choices
    abouts: Choices
    pictures: Mapping[str, PictureView]
    front_spots: Mapping[str, FrontSpot]
    max_bytes: int


@dataclass(frozen=True)
class QuestionsShown:
    """This or that: open ones first, newest first. question_faces, kept_in, question_along : by the
    id of the question. choosable : what can be put side by side, by what it is.
    """

    questions: Sequence[QuestionView]
    question_faces: Mapping[str, Sequence[Thumbnail]]
    kept_in: Mapping[str, str]
    choosable: Mapping[str, Choices]
    question_along: Along


def comments_sheet(
    desk: Desk, brief: Brief, shown: Shown, asked: Filter = Filter()
) -> tuple[CommentsSheet, QuestionsShown, WholeFront]:
    """A comment is there with all its replies, also where one of those alone is by whom, or in the
    state, that was asked for.
    """
    comments = views(desk, nouns.comments, brief)
    replies = grouped([one for one in comments if one.reply_to], lambda one: one.reply_to or "")
    new = new_ids(desk, brief.id)
    newest_first = [one for one in reversed(comments) if one.reply_to is None]
    open_first = sorted(newest_first, key=lambda one: one.state == "settled")
    talks = {one.id: [one, *replies.get(one.id, ())] for one in open_first}
    found = [one for one in open_first if _wanted(one, talks[one.id], asked, new)]
    authors = {one.author for talk in talks.values() for one in talk}
    abouts = {one.about_id: one.about_label for one in open_first}
    sheet = CommentsSheet(
        all_comments=found,
        total=len(open_first),
        replies=replies,
        new=new,
        upto=max(new, default=None),
        along=along(desk, nouns.comments, found),
        asked_for=asked,
        authors=[(name, name) for name in sorted(authors, key=str.casefold)],
        abouts=sorted(
            abouts.items(), key=lambda about: (about[0] != brief.id, about[1].casefold())
        ),
        pictures=_pictures(desk, brief),
        front_spots={
            one.id: front_spot(brief, Region.parse(one.region))
            for one in comments
            if one.region and one.about_kind == "brief"
        },
        max_bytes=annotation_model.MAX_BYTES,
    )
    questions = _questions(desk, brief, shown)
    return sheet, questions, whole_front(desk, brief, shown.switches.state)


def _wanted(
    one: CommentView, talk: Sequence[CommentView], asked: Filter, new: Collection[str]
) -> bool:
    return (
        asked.who in ("", *(said.author for said in talk))
        and asked.where in ("", one.about_id)
        and asked.state in ("", one.state, *("new" for said in talk if said.id in new))
    )


def _pictures(desk: Desk, brief: Brief) -> dict[str, PictureView]:
    pictured: list[ReferenceView | MaterialView] = [
        *views(desk, nouns.references, brief),
        *nouns.materials.show_all(desk, nouns.materials.page(desk)),
    ]
    return {one.id: one.picture for one in pictured if one.picture}


def _questions(desk: Desk, brief: Brief, shown: Shown) -> QuestionsShown:
    newest_first = list(reversed(nouns.questions.page(desk, brief_id=brief.id)))
    asked = sorted(newest_first, key=lambda one: one.state == "closed")
    shown_ones = nouns.questions.show_all(desk, asked)
    return QuestionsShown(
        questions=shown_ones,
        question_faces={
            view.id: [
                face(desk, named(desk, one.kind, one.id), shown, prefix=f"q{view.id}-{at}")
                for at, one in enumerate(view.choices)
            ]
            for view in shown_ones
        },
        kept_in={one.id: kept_in(desk, one) for one in asked},
        choosable=_choosable(desk, brief),
        question_along=along(desk, nouns.questions, asked),
    )


def _choosable(desk: Desk, brief: Brief) -> dict[str, Choices]:
    def labelled(noun: Noun[R, Any], brief_id: str | None = None) -> Choices:
        return [(one.id, label(one)) for one in noun.page(desk, brief_id=brief_id)]

    return {
        "Pairings": labelled(nouns.pairings, brief.id),
        "Pieces of the rack": labelled(nouns.materials),
        "Pictures and passages": labelled(nouns.references, brief.id),
        "Swatches": labelled(nouns.swatches, brief.id),
        "Whole briefs": labelled(nouns.briefs),
        "Revisions of this brief": labelled(nouns.revisions, brief.id),
    }
