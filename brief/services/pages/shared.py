"""What several sheets show."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import select

from brief.colour.viewing.conditions import State
from brief.instrument import Face
from brief.instrument.rendering.fill import Box
from brief.services import nouns, offcuts
from brief.services.common.field_types import View
from brief.services.common.noun import Noun
from brief.services.drawing.instrument_drawing import draw_instrument, loupe_views
from brief.services.feedback.comments import CommentView, marked
from brief.services.feedback.quotes import QuotedRun
from brief.services.feedback.unread import new_ids
from brief.services.theme.notes import NoteView
from brief.services.theme.references import ReferenceView
from brief.store.desk import Desk
from brief.store.records import Brief, Record

T = TypeVar("T")
R = TypeVar("R", bound=Record)
V = TypeVar("V", bound=View)

Choices = Sequence[tuple[str, str]]  # of a select: what is sent, and its words
Along = Mapping[str, Sequence[str]]  # what the removal of each would take along, by id

CUTS: Choices = [
    ("not said", "not said"),
    ("quartersawn", "quartersawn: rings upright to the face"),
    ("flatsawn", "flatsawn: rings along the face"),
]
USERS = 5  # of a thing are named where it can be removed

# The colours of the 24-patch chart were changed once.
AGES: Choices = [("after-2014", "November 2014 or later"), ("before-2014", "before November 2014")]


@dataclass(frozen=True)
class NotesAndComments:
    """Notes and comments by the id of what they are about; marked : passages by their ids, cut
    where words are quoted; new : ids of comments.
    """

    notes: Mapping[str, Sequence[NoteView]]
    comments: Mapping[str, Sequence[CommentView]]
    new: Collection[str]
    marked: Mapping[str, Sequence[QuotedRun]]


def said(
    desk: Desk, brief: Brief, about: Collection[str], references: Sequence[ReferenceView] = ()
) -> NotesAndComments:
    """What is said of these things of a brief, by their ids, and quoted from these references."""
    comments = grouped(_about(desk, nouns.comments, brief, about), lambda one: one.about_id)
    notes = _about(desk, nouns.notes, brief, about)
    return NotesAndComments(
        notes=grouped(notes, lambda one: one.about_id),
        comments=comments,
        new=new_ids(desk, brief.id),
        marked={one.id: marked(one.passage, comments.get(one.id, ())) for one in references},
    )


def _about(desk: Desk, noun: Noun[Any, V], brief: Brief, about: Collection[str]) -> list[V]:
    """What of that noun is about these things of a brief."""
    kind = noun.record
    asked = select(kind).where(
        kind.brief_id == brief.id, kind.about_id.in_(about), kind.binned_utc.is_(None)
    )
    return noun.show_all(desk, desk.session.scalars(asked.order_by(kind.id)).all())


@dataclass(frozen=True)
class WholeFront:
    """The front once more, SVG, for spots on it: that of the panel is brought close and folded
    away. whole_box : its viewBox.
    """

    whole_front: str
    whole_box: str


def whole_front(desk: Desk, brief: Brief, state: State) -> WholeFront:
    """The front with nothing brought close."""
    box = dict(loupe_views(brief, "front"))["whole"]
    return WholeFront(front(desk, brief, "whole-front", state), box)


def front(
    desk: Desk,
    brief: Brief,
    prefix: str,
    state: State = "bare",
    face: Face = "front",
    box: Box | None = None,
    *,
    shaded: bool = False,
) -> str:
    """The instrument from one side, SVG; `prefix` begins every id in it. box, shaded : as for
    `draw_instrument`.
    """
    parts = nouns.parts.page(desk, brief_id=brief.id)
    return draw_instrument(
        desk, brief, parts, prefix=prefix, state=state, face=face, box=box, shaded=shaded
    )


def views(desk: Desk, noun: Noun[R, V], brief: Brief) -> list[V]:
    """All of one noun that a brief has, as they are shown."""
    return noun.show_all(desk, noun.page(desk, brief_id=brief.id))


def said_of(desk: Desk, brief: Brief, about_id: str) -> NotesAndComments:
    """What is said of one thing of a brief."""
    about = nouns.comments.page(desk, brief_id=brief.id, about_id=about_id)
    notes = nouns.notes.page(desk, brief_id=brief.id, about_id=about_id)
    return NotesAndComments(
        notes={about_id: nouns.notes.show_all(desk, notes)},
        comments={about_id: nouns.comments.show_all(desk, about)},
        new=new_ids(desk, brief.id),
        marked={},
    )


def grouped(those: Iterable[T], by: Callable[[T], str]) -> dict[str, list[T]]:
    """The same by what `by` says of each, in their order."""
    groups: dict[str, list[T]] = {}
    for one in those:
        groups.setdefault(by(one), []).append(one)
    return groups


def along(desk: Desk, noun: Noun[R, Any], those: Iterable[View | Record]) -> Along:
    """What removing each would take along, by id."""
    return offcuts.along_each(desk, [noun.get(desk, one.id) for one in those])


def used_by(desk: Desk, noun: Noun[R, Any], those: Iterable[View]) -> Along:
    """What uses each, by id: some by name, the others counted."""
    return {one.id: offcuts.used_by(desk, noun.get(desk, one.id), USERS) for one in those}


def same(values: Iterable[str]) -> Choices:
    """Choices whose words are what is sent."""
    return [(one, one) for one in values]
