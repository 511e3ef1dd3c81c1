"""How much of a brief somebody outside is shown: which sheets, from where, less what is private or
removed by now."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, TypeVar

from sqlalchemy import select

from brief.services import nouns
from brief.services.common.noun import Noun
from brief.services.feedback.questions import kept_in
from brief.services.history.revision_view import as_frozen
from brief.services.sharing.shares import SHOWN, SheetKey
from brief.store.desk import Desk
from brief.store.records import (
    Brief,
    Note,
    Palette,
    Question,
    Record,
    Reference,
    Revision,
    Share,
    StudioPicture,
)

R = TypeVar("R", bound=Record)


def open_now(live: Desk, brief_id: str) -> frozenset[str]:
    """The references, notes and studio pictures that are there now and not private, by id.

    An older revision shows no others: who marks or removes a picture, perhaps because it was not
    theirs to show, does not think of the links that were given out before.
    """
    return frozenset(
        record_id
        for record in (Reference, Note, StudioPicture)
        for record_id in live.session.scalars(
            select(record.id).where(
                record.brief_id == brief_id, record.binned_utc.is_(None), ~record.private
            )
        )
    )


@dataclass(frozen=True)
class Scope:
    """What an outsider is shown of a brief, and from where.

    desk : where it lies as it is shown. live : where it lies as it is now, with what is said of
    it and asked. sheets : those that are shown. open : see `open_now`.
    """

    desk: Desk
    live: Desk
    brief: Brief
    sheets: Collection[SheetKey]
    open: frozenset[str]
    _read: dict[str, Sequence[Any]] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, desk: Desk, brief: Brief, sheets: Collection[SheetKey] = tuple(SHOWN)) -> Scope:
        """The brief as it is; all that others may ever see of it, unless sheets are named."""
        return cls(desk, desk, brief, sheets, open_now(desk, brief.id))

    def page(self, noun: Noun[R, Any]) -> Sequence[R]:
        """The records of the brief, as they are shown; read once for a page that asks often."""
        if noun.many not in self._read:
            self._read[noun.many] = noun.page(self.desk, brief_id=self.brief.id)
        return self._read[noun.many]

    @cached_property
    def references(self) -> list[Reference]:
        """The references that others may see."""
        return [
            one for one in self.page(nouns.references) if not one.private and one.id in self.open
        ]

    @cached_property
    def studio_pictures(self) -> list[StudioPicture]:
        """The studio pictures that others may see, the newest first."""
        every = self.page(nouns.studio_pictures)
        return [one for one in every[::-1] if not one.private and one.id in self.open]

    @property
    def palettes(self) -> Sequence[Palette]:
        """Those of the references that are shown."""
        return self.palettes_of({one.id for one in self.references})

    def palettes_of(self, reference_ids: Collection[str]) -> Sequence[Palette]:
        """Those of some of them, by their ids."""
        return self.desk.session.scalars(
            select(Palette)
            .where(Palette.reference_id.in_(reference_ids), Palette.binned_utc.is_(None))
            .order_by(Palette.id)
        ).all()

    @cached_property
    def palette_ids(self) -> frozenset[str]:
        """Of those of the references that are shown."""
        shown = [one.id for one in self.references]
        asked = select(Palette.id).where(Palette.reference_id.in_(shown))
        return frozenset(self.desk.session.scalars(asked.where(Palette.binned_utc.is_(None))))

    @cached_property
    def questions(self) -> list[Question]:
        """What is asked of those outside: nothing that shows what is private or was removed."""
        if "questions" not in self.sheets:
            return []
        return [
            one
            for one in nouns.questions.page(self.live, brief_id=self.brief.id)
            if not kept_in(self.live, one)
        ]

    def chosen_from(self, kind: str) -> list[str]:
        """The things of one kind that the questions put side by side, by id."""
        return [
            choice["id"]
            for question in self.questions
            for choice in question.choices
            if choice["kind"] == kind
        ]


@contextmanager
def scope_of(desk: Desk, share: Share) -> Iterator[Scope]:
    """What a share shows: the brief as it is, or as its revision has it."""
    open_ = open_now(desk, share.brief_id)
    if share.revision_id is None:
        brief = desk.session.get_one(Brief, share.brief_id)
        yield Scope(desk, desk, brief, share.sheets, open_)
        return
    with as_frozen(desk, desk.session.get_one(Revision, share.revision_id)) as frozen:
        brief = frozen.session.get_one(Brief, share.brief_id)
        yield Scope(frozen, desk, brief, share.sheets, open_)
