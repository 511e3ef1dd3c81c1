"""This or that: a question with two to four things side by side, and what others chose.

Answers are blind: whoever is asked sees what the others chose only once the question is closed
(`as_asked`). The maker, whose pages these are, sees them at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.english import words
from brief.errors import InputError, quoted
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    Text,
    Title,
    View,
    not_boolean,
)
from brief.services.common.foreign_keys import brief_id_of, check_pointers, existing, named
from brief.services.common.naming import BY_KIND, label, public_label, several
from brief.services.common.noun import Noun, view_fields
from brief.services.feedback.comments import MAKER, CameBy
from brief.store.desk import Desk
from brief.store.records import Answer, Brief, Question, Record, now_utc

FEWEST, MOST = 2, 4
ChoiceKind = Literal["pairing", "material", "reference", "swatch", "brief", "revision"]
KINDS: tuple[ChoiceKind, ...] = get_args(ChoiceKind)
TWO = ("the left", "the right")
SEVERAL = ("the first", "the second", "the third", "the fourth")


class QuestionDraft(Draft):
    """A question as it is sent."""

    brief_id: Id
    text: Title = Field(examples=["Which binding?"])
    choices: list[Id] = Field(
        description="Two to four of: pairings, pieces of the rack, references, swatches, briefs, "
        "revisions; from left to right"
    )
    state: Literal["open", "closed"] = Field(
        "open", description="Others see what was chosen once it is closed"
    )


class ChoiceView(BaseModel):
    """One of the things to choose from, as it is shown."""

    kind: ChoiceKind
    id: Id
    label: str
    place: str = Field(examples=["the left"])
    in_bin: bool
    count: int | None = Field(description="How many chose it; null while that is not to be seen")


class AnswerView(View):
    """An answer as it is shown."""

    question_id: Id
    choice: int = Field(description="Its place, from 0")
    choice_label: str
    before: int | None = Field(description="What the same person had chosen first")
    why: str
    author: str
    came_by: CameBy
    said_utc: datetime


class QuestionView(View):
    """A question as it is shown."""

    brief_id: Id
    text: str
    choices: list[ChoiceView]
    state: Literal["open", "closed"]
    answers: list[AnswerView] | None = Field(description="Null while they are not to be seen")
    result: str = Field(examples=["2 of 3 chose the left, 1 the right."])


class Questions(Noun[Question, QuestionView]):
    """Questions to others, each with two to four things to choose from."""

    record, draft, view = Question, QuestionDraft, QuestionView
    settled = frozenset({"brief_id", "choices"})  # what was chosen from must stay what it was
    filters = ("brief_id", "state")

    def settle(self, desk: Desk, fields: Fields, record: Question | None) -> Columns:
        """Find what can be chosen: in the brief, and not in the bin; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        kept = dict(fields)
        if record is None:
            kept["choices"] = _choices(desk, fields["brief_id"], fields["choices"])
            for choice in kept["choices"]:
                existing(desk, "choices", BY_KIND[choice["kind"]], choice["id"])  # not in the bin
        if "state" in fields and (record is None or fields["state"] != record.state):
            kept["closed_utc"] = now_utc() if fields["state"] == "closed" else None
        return kept

    def show(self, desk: Desk, record: Question) -> QuestionView:
        """The question, with its result as far as it may be seen."""
        labels = [label(found) for found in _chosen_from(desk, record)]
        return self._show(desk, record, labels)

    def _show(self, desk: Desk, record: Question, labels: Sequence[str]) -> QuestionView:
        given = _answers(desk, record)
        counts = [sum(one.choice == at for one in given) for at in range(len(record.choices))]
        return QuestionView(
            **view_fields(record, "brief_id", "text", "state"),
            choices=[
                ChoiceView(
                    kind=choice["kind"],
                    id=choice["id"],
                    label=name,
                    place=place,
                    in_bin=found.binned_utc is not None,
                    count=count,
                )
                for found, choice, name, place, count in zip(
                    _chosen_from(desk, record),
                    record.choices,
                    labels,
                    _places(len(record.choices)),
                    counts,
                    strict=True,
                )
            ],
            answers=[_answer_view(one, labels[one.choice]) for one in given],
            result=_result(counts),
        )

    def as_asked(self, desk: Desk, record: Question) -> QuestionView:
        """As those see it who are asked: by public names, and nothing of the answers until it is
        closed."""
        view = self._show(desk, record, _public_labels(desk, record))
        if record.state == "closed":
            return view
        hidden = [choice.model_copy(update={"count": None}) for choice in view.choices]
        return view.model_copy(update={"choices": hidden, "answers": None, "result": ""})

    def vet(self, desk: Desk, record: Question) -> None:
        """Refuse choices that are not as they are kept; see `Noun.vet`."""
        if record.choices != _choices(
            desk, record.brief_id, [choice["id"] for choice in record.choices]
        ):
            raise InputError.at("choices", "this is not as choices are kept")
        super().vet(desk, record)


class AnswerDraft(Draft):
    """An answer as it is sent."""

    question_id: Id
    choice: Annotated[int, Field(ge=0, description="Its place, from 0"), not_boolean]
    why: Text = ""
    author: Line = Field("", description="Who chose; “the maker” if left out")


class Answered(BaseModel):
    """What there is to say to somebody who has just chosen."""

    answer: AnswerView
    said: str = Field(examples=["You chose the left, walnut."])


class Answers(Noun[Answer, AnswerView]):
    """Answers to questions, one from each person."""

    record, draft, view = Answer, AnswerDraft, AnswerView
    settled = frozenset({"question_id", "author"})
    filters = ("question_id",)
    hangs_by: ClassVar = {"question_id": Question}

    def settle(self, desk: Desk, fields: Fields, record: Answer | None) -> Columns:
        """Check the choice against the question; an answer without an author is the maker's."""
        question_id = record.question_id if record else fields["question_id"]
        question = existing(desk, "question_id", Question, question_id)
        if "choice" in fields and fields["choice"] >= len(question.choices):
            raise InputError.at(
                "choice", f"There are {len(question.choices)} to choose from, counted from 0."
            )
        return {**fields, "author": fields["author"] or MAKER} if record is None else dict(fields)

    def add(self, desk: Desk, draft: Draft) -> Answer:
        """A further answer by the same name takes the place of the one before."""
        assert isinstance(draft, AnswerDraft)
        return self.add_from(desk, draft, "here")

    def add_from(self, desk: Desk, draft: AnswerDraft, came_by: CameBy, **facts: Any) -> Answer:
        """As `add`, for one that came in otherwise. `facts` are further columns of `Answer`."""
        fields = self.settle(desk, dict(draft), None) | facts
        said_utc = fields.setdefault("said_utc", now_utc())
        question = desk.session.get_one(Question, fields["question_id"])
        if question.closed_utc is not None and said_utc > question.closed_utc:
            raise InputError.at(
                "question_id", f"“{question.text}” is closed; nobody can answer it any more."
            )
        standing = _standing(desk, question, fields["author"], came_by)
        if standing is None:
            answer = Answer(**fields, came_by=came_by)
            desk.session.add(answer)
        elif standing.said_utc > said_utc:
            return standing  # what came later was said earlier
        else:
            answer = standing
            if answer.choice != fields["choice"]:
                answer.before = answer.choice
            for name, value in fields.items():
                setattr(answer, name, value)
            answer.changed_utc = now_utc()
        desk.session.flush()
        return answer

    def answer(
        self,
        desk: Desk,
        question_id: str,
        choice: int,
        why: str,
        author: str,
        came_by: CameBy = "link",
    ) -> Answered:
        """Take the answer of somebody who was asked, and say what came of it.

        InputError if the question is closed or gone, or has no such choice.
        """
        draft = AnswerDraft(question_id=question_id, choice=choice, why=why, author=author)
        view = self.show(desk, self.add_from(desk, draft, came_by))
        question = desk.session.get_one(Question, question_id)
        places = _places(len(question.choices))
        said = f"You chose {places[view.choice]}, {_public_labels(desk, question)[view.choice]}"
        if view.before is not None:
            said += f"; it was {places[view.before]} before, and the newest counts"
        return Answered(answer=view, said=f"{said}.")

    def check_return(self, desk: Desk, record: Answer) -> None:
        """Refuse an answer whose author has answered again since."""
        question = desk.session.get_one(Question, record.question_id)
        if _standing(desk, question, record.author, record.came_by, but=record) is not None:
            raise InputError(
                f"“{record.author}” has answered again since. Remove that answer first."
            )

    def show(self, desk: Desk, record: Answer) -> AnswerView:
        """The answer, with the label of its choice."""
        question = desk.session.get_one(Question, record.question_id)
        return _answer_view(record, label(_chosen_from(desk, question)[record.choice]))

    def vet(self, desk: Desk, record: Answer) -> None:
        """Refuse a choice that the question does not have; see `Noun.vet`."""
        choices = desk.session.get_one(Question, record.question_id).choices
        for name in ("choice", "before"):
            chosen = getattr(record, name)
            if chosen is not None and not 0 <= chosen < len(choices):
                raise InputError.at(name, f"There are {len(choices)} to choose from.")
        super().vet(desk, record)


def _public_labels(desk: Desk, question: Question) -> list[str]:
    """What its things are called to others. Those that share a public name keep their own, by
    which alone they can be told apart."""
    things = _chosen_from(desk, question)
    public = [public_label(found) for found in things]
    return [
        name if public.count(name) == 1 else label(found)
        for name, found in zip(public, things, strict=True)
    ]


def _answer_view(record: Answer, choice_label: str) -> AnswerView:
    return AnswerView(
        **view_fields(
            record, "question_id", "choice", "before", "why", "author", "came_by", "said_utc"
        ),
        choice_label=choice_label,
    )


def _choices(desk: Desk, brief_id: str, ids: Sequence[str]) -> list[dict[str, str]]:
    if not FEWEST <= len(ids) <= MOST:
        raise InputError.at("choices", f"Choose {FEWEST} to {MOST} options; got {len(ids)}.")
    if len(set(ids)) < len(ids):
        raise InputError.at("choices", "Each choice must be different.")
    return [{"kind": _kind(desk, brief_id, one), "id": one} for one in ids]


def _kind(desk: Desk, brief_id: str, record_id: str) -> ChoiceKind:
    for kind in KINDS:
        found = desk.session.get(BY_KIND[kind], record_id)
        if found is not None:
            if not isinstance(found, Brief) and brief_id_of(found) not in (None, brief_id):
                raise InputError.at("choices", f"The {kind} “{label(found)}” is in another brief.")
            return kind
    known = words([several(BY_KIND[kind]) for kind in KINDS])
    raise InputError.at("choices", f"There is no {quoted(record_id)} among the {known}.")


def _chosen_from(desk: Desk, question: Question) -> list[Record]:
    return [named(desk, choice["kind"], choice["id"]) for choice in question.choices]


def _answers(desk: Desk, question: Question) -> Sequence[Answer]:
    return desk.session.scalars(
        select(Answer)
        .where(Answer.question_id == question.id, Answer.binned_utc.is_(None))
        .order_by(Answer.said_utc, Answer.id)
    ).all()


def _standing(
    desk: Desk, question: Question, author: str, came_by: str, but: Answer | None = None
) -> Answer | None:
    """The answer that somebody of that name has given in that way."""
    name = " ".join(author.split()).casefold()
    for one in _answers(desk, question):
        same = one.came_by == came_by and " ".join(one.author.split()).casefold() == name
        if same and one is not but:
            return one
    return None


def _places(count: int) -> tuple[str, ...]:
    return TWO if count == len(TWO) else SEVERAL[:count]


def _result(counts: Sequence[int]) -> str:
    """The answers counted, never as a share: of three people, 67 % is no number of people."""
    total = sum(counts)
    if not total:
        return "Nobody has answered yet."
    chosen = sorted(
        (
            (count, place)
            for count, place in zip(counts, _places(len(counts)), strict=True)
            if count
        ),
        key=lambda one: -one[0],
    )
    (most, first), *others = chosen
    rest = "".join(f", {count} {place}" for count, place in others)
    return f"{most} of {total} chose {first}{rest}."


questions = Questions()
answers = Answers()
