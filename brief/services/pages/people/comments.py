"""The Comments sheet: what is said, and what is asked of others."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from brief.photo import Region
from brief.services import nouns
from brief.services.common.foreign_keys import label_of, look_up_named, named
from brief.services.common.naming import label
from brief.services.common.noun import Noun
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.drawing.instrument_drawing import FrontSpot, front_spot
from brief.services.drawing.thumbnails import Thumbnail, face
from brief.services.feedback import annotation_model
from brief.services.feedback.comments import CommentView
from brief.services.feedback.questions import QuestionView
from brief.services.feedback.unread import new_ids
from brief.services.pages.shared import (
    Along,
    Choices,
    WholeFront,
    along,
    grouped,
    whole_front,
)
from brief.services.pairing.view_settings import Shown
from brief.services.photos.pictures import PictureView, picture_view
from brief.services.sharing.privacy import kept_in
from brief.store.desk import Desk
from brief.store.records import Brief, Comment, Material, Record, Reference

R = TypeVar("R", bound=Record)
A_PAGE = 24  # comments, with their replies


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
    """all_comments : a page of those asked for, open ones first, newest first, out of `total`;
    replies : by the id of what they reply to. new : ids, `upto` the latest of them. pictures,
    front_spots : what they are about, by its id, and spots on the front, by the id of the comment.
    """

    all_comments: Sequence[CommentView]
    pager: Pager
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
    id of the question.
    """

    questions: Sequence[QuestionView]
    question_faces: Mapping[str, Sequence[Thumbnail]]
    kept_in: Mapping[str, str]
    question_along: Along


@dataclass(frozen=True)
class QuestionForm:
    """A question to be asked. choosable : what can be put side by side, by what it is."""

    choosable: Mapping[str, Choices]


def comments_sheet(
    desk: Desk, brief: Brief, shown: Shown, asked: Filter = Filter(), leaf: Leaf = FIRST
) -> tuple[CommentsSheet, QuestionsShown, WholeFront]:
    """A comment is there with all its replies, also where one of those alone is by whom, or in the
    state, that was asked for.
    """
    comments = nouns.comments.page(desk, brief_id=brief.id)
    replies = grouped([one for one in comments if one.reply_to], lambda one: one.reply_to or "")
    new = new_ids(desk, brief.id)
    newest_first = [one for one in reversed(comments) if one.reply_to is None]
    open_first = sorted(newest_first, key=lambda one: one.state == "settled")
    talks = {one.id: [one, *replies.get(one.id, ())] for one in open_first}
    found = [one for one in open_first if _wanted(one, talks[one.id], asked, new)]
    here, pager = paged(found, A_PAGE, leaf, vars(asked))
    look_up_named(desk, {(one.about_kind, one.about_id) for one in open_first})
    authors = {one.author for talk in talks.values() for one in talk}
    abouts = {one.about_id: label_of(desk, one.about_kind, one.about_id) for one in open_first}
    sheet = CommentsSheet(
        all_comments=nouns.comments.show_all(desk, here),
        pager=pager,
        total=len(open_first),
        replies={
            one.id: nouns.comments.show_all(desk, replies[one.id])
            for one in here
            if one.id in replies
        },
        new=new,
        upto=max(new, default=None),
        along=along(desk, nouns.comments, here),
        asked_for=asked,
        authors=[(name, name) for name in sorted(authors, key=str.casefold)],
        abouts=sorted(
            abouts.items(), key=lambda about: (about[0] != brief.id, about[1].casefold())
        ),
        pictures=_pictures(desk, here),
        front_spots={
            one.id: front_spot(brief, Region.parse(one.region))
            for one in here
            if one.region and one.about_kind == "brief"
        },
        max_bytes=annotation_model.MAX_BYTES,
    )
    questions = _questions(desk, brief, shown)
    return sheet, questions, whole_front(desk, brief, shown.switches.state)


def _wanted(one: Comment, talk: Sequence[Comment], asked: Filter, new: Collection[str]) -> bool:
    return (
        asked.who in ("", *(said.author for said in talk))
        and asked.where in ("", one.about_id)
        and asked.state in ("", one.state, *("new" for said in talk if said.id in new))
    )


def _pictures(desk: Desk, comments: Sequence[Comment]) -> dict[str, PictureView]:
    """Of what these are about a spot on the picture of, by its id."""
    shown: dict[str, PictureView] = {}
    for one in comments:
        about = named(desk, one.about_kind, one.about_id)
        sha256 = about.image_sha256 if isinstance(about, Reference | Material) else None
        if one.region and sha256 and about.binned_utc is None:
            shown[about.id] = picture_view(desk, sha256)
    return shown


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
        question_along=along(desk, nouns.questions, asked),
    )


def question_form(desk: Desk, brief: Brief) -> QuestionForm:
    """What the form for a question shows."""

    def labelled(noun: Noun[R, Any], brief_id: str | None = None) -> Choices:
        return [(one.id, label(one)) for one in noun.page(desk, brief_id=brief_id)]

    return QuestionForm(
        {
            "Pairings": labelled(nouns.pairings, brief.id),
            "Pieces of the rack": labelled(nouns.materials),
            "Pictures and passages": labelled(nouns.references, brief.id),
            "Swatches": labelled(nouns.swatches, brief.id),
            "Whole briefs": labelled(nouns.briefs),
            "Revisions of this brief": labelled(nouns.revisions, brief.id),
        }
    )
