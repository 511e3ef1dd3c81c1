"""A file of comments and answers taken in: each once, and where what it is about still is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import get_args

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.english import agree, number_of, words
from brief.errors import InputError
from brief.services.common.foreign_keys import AboutKind, brief_id_of
from brief.services.common.naming import BY_KIND, kind_of_record, label, public_label, shortened
from brief.services.feedback.annotation_model import (
    Annotation,
    AnnotationPage,
    FragmentSelector,
    Labelled,
    TextQuoteSelector,
    read_page,
)
from brief.services.feedback.annotations import id_of, iri_of, name_of
from brief.services.feedback.comments import GONE, CommentDraft, CommentView, words_of
from brief.services.feedback.questions import AnswerDraft, AnswerView
from brief.services.feedback.quotes import Quote, places
from brief.services.nouns import answers, briefs, comments
from brief.store.desk import Desk
from brief.store.records import Answer, Brief, Comment, Question, Record, now_utc

NOTHING = Quote()
NAMELESS = "somebody"
CLOCK = timedelta(milliseconds=1)  # what a browser keeps of a time


class TakenIn(BaseModel):
    """What came of a file of comments."""

    comments: list[CommentView]
    answers: list[AnswerView]
    left_out: list[str] = Field(description="What could not come in, each with the reason")
    known: int = Field(description="How many were here already, or lie in the offcuts bin")
    said: str = Field(examples=["3 comments added; 2 were here already."])


def take_in(desk: Desk, brief_id: str, data: bytes) -> TakenIn:
    """Take in the comments of a file, each once however often it comes, or refuse all of it.

    Raises as `read_page`, and InputError for a file from another brief.
    """
    return _TakingIn(desk, briefs.get(desk, brief_id), read_page(data)).run()


def brief_spoken_of(desk: Desk, data: bytes) -> Brief:
    """The brief that a file of comments names; InputError if it names none that is here."""
    part_of = read_page(data).part_of
    brief_ = desk.session.get(Brief, id_of(part_of.id) or "") if part_of else None
    if brief_ is None or brief_.binned_utc is not None:
        named = f" “{part_of.label}”" if part_of and part_of.label else ""
        raise InputError(
            f"The brief{named} that this file is about is not here. Nothing was taken in."
        )
    return brief_


@dataclass(frozen=True)
class _Place:
    """Where a comment comes in, and what there is to say about that."""

    kind: AboutKind
    record_id: str
    reply_to: str | None = None
    region: str | None = None
    quote: Quote = NOTHING
    since: tuple[str, ...] = ()


class _TakingIn:
    def __init__(self, desk: Desk, brief_: Brief, page: AnnotationPage) -> None:
        self.desk = desk
        self.brief = brief_
        self.page = page
        self.as_it_was: Mapping[str, Labelled] = {one.id: one for one in page.references}
        # Also those that lie in the bin: what was once removed does not come back by a file.
        said = desk.session.scalars(select(Comment).where(Comment.brief_id == brief_.id))
        given = desk.session.scalars(
            select(Answer).join(Question).where(Question.brief_id == brief_.id)
        )
        self.known: dict[str, Comment | Answer] = {name_of(one): one for one in (*said, *given)}
        self.left_out: list[str] = []

    def run(self) -> TakenIn:
        self._check_the_brief()
        waiting: dict[str, Annotation] = {}
        for one in self.page.items:
            if one.id not in self.known:
                waiting.setdefault(one.id, one)
        made: list[Comment | Answer] = []
        while waiting:
            # What is replied to comes first, wherever it stands in the file.
            ready = [one for one in waiting.values() if one.target.source not in waiting]
            if not ready:
                raise InputError(
                    "This file of comments cannot be used: some of its replies answer each other "
                    "in a ring. Nothing was taken in."
                )
            for one in ready:
                added = self._choose(one) if one.chosen else self._add(one, self._place(one))
                if added is not None and added.annotation_id == one.id:  # not one given since
                    self.known[one.id] = added
                    made.append(added)
                del waiting[one.id]
        known = len(self.page.items) - len(made) - len(self.left_out)
        said = [one for one in made if isinstance(one, Comment)]
        given = [one for one in made if isinstance(one, Answer)]
        return TakenIn(
            comments=comments.show_all(self.desk, said),
            answers=answers.show_all(self.desk, given),
            left_out=self.left_out,
            known=known,
            said=" ".join([_said(len(said), len(given), known), *self.left_out]),
        )

    def _check_the_brief(self) -> None:
        part_of = self.page.part_of
        if part_of is not None and part_of.id != iri_of(self.brief.id):
            named = f", “{part_of.label}”" if part_of.label else ""
            raise InputError(
                f"This file is about another brief{named}, not about “{self.brief.title}”. "
                "Nothing was taken in; open the brief it is about, and add it there."
            )
        found = [self._find(one.target.source) for one in self.page.items]
        of = {brief_id_of(record) for record in found if record is not None}
        if of - {None, self.brief.id}:
            raise InputError(
                "This file speaks of things in another brief. Nothing was taken in; open the "
                "brief it is about, and add it there."
            )
        if part_of is None and self.page.items and self.brief.id not in of:
            raise InputError(
                f"Nothing in this file is about “{self.brief.title}”. Nothing was taken in."
            )

    def _find(self, iri: str) -> Record | None:
        """The record of that name, even if it lies in the bin."""
        if iri in self.known:
            return self.known[iri]
        record_id = id_of(iri)
        if record_id is None:
            return None
        for kind in BY_KIND.values():
            found = self.desk.session.get(kind, record_id)
            if found is not None:
                return found
        return None

    def _choose(self, one: Annotation) -> Comment | Answer | None:
        """An answer, if its question is there and was open when it was given."""
        question = self._find(one.target.source)
        author = one.creator.name or NAMELESS
        if not isinstance(question, Question) or question.binned_utc is not None:
            if one.text:
                return self._add(
                    one,
                    self._on_the_brief(
                        one, "Said in answer to a question that has been removed since."
                    ),
                )
            self.left_out.append(f"An answer by {author} is left out: its question was removed.")
            return None
        chosen = [iri_of(choice["id"]) for choice in question.choices]
        if one.chosen not in chosen:
            raise InputError(
                f"This file of comments cannot be used: {author} chose something that “"
                f"{question.text}” does not offer. Nothing was taken in."
            )
        draft = AnswerDraft(
            question_id=question.id, choice=chosen.index(one.chosen), why=one.text, author=author
        )
        if question.closed_utc and one.created and one.created > question.closed_utc:
            self.left_out.append(
                f"An answer by {author} is left out: “{question.text}” was closed before. Open it "
                "again and add the file once more, if it is to count."
            )
            return None
        return answers.add_from(
            self.desk, draft, "file", annotation_id=one.id, said_utc=_said_utc(one)
        )

    def _add(self, one: Annotation, place: _Place) -> Comment:
        draft = CommentDraft(
            brief_id=self.brief.id,
            about_kind=place.kind,
            about_id=place.record_id,
            region=place.region,
            author=one.creator.name or NAMELESS,
            text=one.text,
            state=one.status,
            outcome=one.outcome,
            reply_to=place.reply_to,
        )
        return comments.add_from(
            self.desk,
            draft,
            "file",
            annotation_id=one.id,
            said_utc=_said_utc(one),
            since=" ".join(place.since),
            quote=place.quote.exact,
            quote_prefix=place.quote.prefix,
            quote_suffix=place.quote.suffix,
        )

    def _place(self, one: Annotation) -> _Place:
        iri = one.target.source
        found = self._find(iri)
        if isinstance(found, Comment):
            return self._as_reply(found)
        was = self.as_it_was.get(iri)
        if found is None:
            named = f"“{was.label}”, which" if was and was.label else "something that"
            return self._on_the_brief(one, f"Said about {named} is not in this brief any more.")
        of_kind = kind_of_record(type(found))
        called = f"the {of_kind} “{label(found)}”"
        if found.binned_utc is not None:
            return self._on_the_brief(one, f"Said about {called}, which has been removed since.")
        kind = next((kind for kind in get_args(AboutKind) if kind == of_kind), None)
        if kind is None:
            return self._on_the_brief(one, f"Said about {called}.")
        return self._on(one, kind, found, was)

    def _as_reply(self, to: Comment) -> _Place:
        """Behind the comment that the talk began with, as the sheets show it."""
        while to.reply_to and to.binned_utc is None:
            to = self.desk.session.get_one(Comment, to.reply_to)
        if to.binned_utc is None:
            kind = next(kind for kind in get_args(AboutKind) if kind == to.about_kind)
            return _Place(kind, to.about_id, reply_to=to.id)
        gone = f"Said in reply to a comment that has been removed since: “{shortened(to.text)}”."
        return _Place("brief", self.brief.id, since=(gone,))

    def _on_the_brief(self, one: Annotation, since: str) -> _Place:
        selector = one.target.selector
        if isinstance(selector, TextQuoteSelector):
            since += f" It is about these words: “{selector.exact}”."
        return _Place("brief", self.brief.id, since=(since,))

    def _on(self, one: Annotation, kind: AboutKind, about: Record, was: Labelled | None) -> _Place:
        since = []
        if was and was.modified and about.changed_utc - was.modified > CLOCK:
            now = label(about)
            known = {"", now, public_label(about)}
            then = f"; it was called “{was.label}” then" if was.label not in known else ""
            since.append(f"“{now}” has been changed since the copy that this was said on{then}.")
        selector = one.target.selector
        if isinstance(selector, FragmentSelector):
            return _Place(kind, about.id, region=selector.value, since=tuple(since))
        quote = NOTHING
        if isinstance(selector, TextQuoteSelector):
            quote = Quote(selector.exact, selector.prefix, selector.suffix)
            if not places(words_of(about), quote):
                since.append(GONE)
        return _Place(kind, about.id, quote=quote, since=tuple(since))


def _said_utc(one: Annotation) -> datetime | None:
    """When it was said; a clock that is ahead would keep it the newest for good."""
    return one.created and min(one.created, now_utc())


def _said(said: int, given: int, known: int) -> str:
    came = words(
        [number_of(many, what) for many, what in ((said, "comment"), (given, "answer")) if many]
    )
    new = f"{came} added" if came else "Nothing new"
    return f"{new}; {known} {agree(known, 'was', 'were')} here already." if known else f"{new}."
