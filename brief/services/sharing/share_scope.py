"""How much of a brief somebody is shown: which sheets, from where, less what is private or removed
by now. Whoever it is for, what they see is gathered by a scope (`guest_view.py`)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal, TypeVar

from sqlalchemy import select

from brief.services import nouns
from brief.services.common.finding import look_up
from brief.services.common.noun import Noun
from brief.services.history.revision_view import as_frozen
from brief.services.sharing.privacy import kept_in, kept_with, open_now
from brief.services.sharing.shares import SHOWN, SheetKey
from brief.services.spec.parts import PartView
from brief.services.theme.rights import may_be_published
from brief.store.desk import Desk
from brief.store.records import (
    Brief,
    Palette,
    Question,
    Record,
    Reference,
    Revision,
    Share,
    StudioPicture,
    Swatch,
)

R = TypeVar("R", bound=Record)
LeaveOut = Literal["nothing", "unclear"]  # of a publication


@dataclass(frozen=True)
class Scope:
    """What somebody is shown of a brief, and from where.

    desk : where it lies as it is shown. live : where it lies as it is now, with what is said of
    it and asked. sheets : those that are shown. open : see `open_now`; None for the maker's own
    eyes, which see what is private, too. by_maker : whether the maker hands it over themselves,
    with what a link never shows (`HandedOver`). left_out : the references that are left out of a
    publication, as their rights are not clear, by id.
    """

    desk: Desk
    live: Desk
    brief: Brief
    sheets: Collection[SheetKey]
    open: frozenset[str] | None
    by_maker: bool = False
    left_out: frozenset[str] = frozenset()
    _read: dict[str, Sequence[Any]] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, desk: Desk, brief: Brief, sheets: Collection[SheetKey] = tuple(SHOWN)) -> Scope:
        """The brief as it is; all that others may ever see of it, unless sheets are named."""
        return cls(desk, desk, brief, sheets, open_now(desk, brief.id))

    def showing(self, sheets: Collection[SheetKey]) -> Scope:
        """The same, of these sheets no more than it shows."""
        return replace(self, sheets=[one for one in sheets if one in self.sheets])

    def published(self, leave_out: LeaveOut) -> Scope:
        """The same, for a publication. Raises RightsUnclear as `may_be_published`."""
        if self.is_own or "references" not in self.sheets:
            return self
        every = frozenset(one.id for one in self.open_references)
        return replace(self, left_out=every - self.cleared(leave_out, every))

    def cleared(self, leave_out: LeaveOut, ids: Collection[str]) -> frozenset[str]:
        """Which of these references may be published. Raises RightsUnclear."""
        asked = [one for one in self.open_references if one.id in ids]
        going = may_be_published(asked, leave_out_unclear=leave_out == "unclear")
        return frozenset(one.id for one in going)

    @property
    def is_own(self) -> bool:
        """Whether it is for the maker's own eyes."""
        return self.open is None

    def is_open(self, record: Record) -> bool:
        """Whether it is shown as far as what the maker marked as private goes."""
        marked = kept_with(self.desk, record)
        if self.open is None or marked is None:
            return True
        return not marked.private and marked.id in self.open

    def page(self, noun: Noun[R, Any]) -> Sequence[R]:
        """The records of the brief, as they are shown; read once for a page that asks often."""
        if noun.many not in self._read:
            self._read[noun.many] = noun.page(self.desk, brief_id=self.brief.id)
        return self._read[noun.many]

    @cached_property
    def open_references(self) -> list[Reference]:
        """The references that are shown, or left out of a publication alone."""
        return [one for one in self.page(nouns.references) if self.is_open(one)]

    @cached_property
    def references(self) -> list[Reference]:
        """The references that are shown."""
        return [one for one in self.open_references if one.id not in self.left_out]

    @cached_property
    def studio_pictures(self) -> list[StudioPicture]:
        """The studio pictures that are shown, the newest first."""
        return [one for one in self.page(nouns.studio_pictures)[::-1] if self.is_open(one)]

    @cached_property
    def swatches(self) -> list[Swatch]:
        """The named colours that are shown: none out of a picture that is private."""
        every = self.page(nouns.swatches)
        look_up(self.desk, Palette, [one.palette_id for one in every if one.palette_id])
        return [one for one in every if self.is_open(one)]

    @cached_property
    def part_views(self) -> list[PartView]:
        """The parts, with what they are made of; not yet less what is private."""
        return nouns.parts.show_all(self.desk, self.page(nouns.parts))

    def palettes_of(self, reference_ids: Collection[str]) -> Sequence[Palette]:
        """Those of some of the references that are shown, by their ids."""
        return self.desk.session.scalars(
            select(Palette)
            .where(Palette.reference_id.in_(reference_ids), Palette.binned_utc.is_(None))
            .order_by(Palette.id)
        ).all()

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


def handed_over(desk: Desk, brief_id: str) -> Scope:
    """What a maker hands over of a brief themselves. Raises NotFound if it is not there."""
    return replace(Scope.of(desk, nouns.briefs.get(desk, brief_id)), by_maker=True)


def for_own_eyes(desk: Desk, brief_id: str) -> Scope:
    """What a maker sees of a brief themselves. Raises NotFound if it is not there."""
    return replace(handed_over(desk, brief_id), open=None)


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
