"""What to pack: the usual list, and what the brief itself asks for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import Field
from sqlalchemy import select

from brief.english import number_of
from brief.errors import NothingChanged
from brief.plan.packing import Heap, PackingLine, usual_lines
from brief.services.common.field_types import Columns, Draft, Fields, Id, LongLine, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.instrument.dimensions import instrument_of
from brief.services.spec.movement.movement import movement_of
from brief.services.spec.passport import passport_of
from brief.store.desk import Desk
from brief.store.records import Brief, ThingToPack

LONGEST_NAME, LONGEST_WHY = 200, 500
PAPER = "paper:"  # begins the key of a line that is a paper to ask about


class ThingToPackDraft(Draft):
    """A thing to pack as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Hygrometer"])
    heap: Heap = Field("instrument", description="Where on the list it is")
    why: LongLine = ""
    packed: bool = False


class ThingToPackView(View):
    """A thing to pack as it is shown."""

    brief_id: Id
    name: str
    heap: Heap
    why: str
    packed: bool


class ThingsToPack(Noun[ThingToPack, ThingToPackView]):
    """The lines of a packing list."""

    record, draft, view = ThingToPack, ThingToPackDraft, ThingToPackView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: ThingToPack | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields) if record else {"usual": ""} | dict(fields)

    def show(self, desk: Desk, record: ThingToPack) -> ThingToPackView:
        """The line."""
        return ThingToPackView(**view_fields(record, "brief_id", "name", "heap", "why", "packed"))


def unpacked_words(things: Sequence[ThingToPackView]) -> str:
    """ "18 things to pack", or that all is packed."""
    left = sum(not one.packed for one in things)
    return f"{number_of(left, 'thing')} to pack" if left else "all is packed"


def proposed(desk: Desk, brief: Brief) -> list[PackingLine]:
    """The usual lines of its instrument, then what its own sheets ask for."""
    made = instrument_of(brief)
    return [*usual_lines(made.family, made.strings), *_of_the_brief(desk, brief)]


def _of_the_brief(desk: Desk, brief: Brief) -> Iterator[PackingLine]:
    """Papers to ask about, by what the spec is made of; the humidity that Movement worked out."""
    for one in passport_of(desk, brief).documents:
        name = f"Asked about: {one.name}"[:LONGEST_NAME]
        yield PackingLine(
            key=f"{PAPER}{one.name}"[:40], name=name, heap="papers", why="From Papers"
        )
    case = movement_of(desk, brief).case_humidity
    if case:
        name = f"Humidity packs for {case[0]} to {case[1]} %"
        yield PackingLine(key="case-humidity", name=name, heap="instrument", why="From Movement")


def fill_packing(desk: Desk, brief: Brief) -> list[ThingToPack]:
    """Add what of the proposed lines was never on the list. One that the maker removed stays
    removed. Raises NothingChanged if there is none.
    """
    asked = select(ThingToPack.usual).where(ThingToPack.brief_id == brief.id)
    known = set(desk.session.scalars(asked))
    added = []
    for line in proposed(desk, brief):
        if line.key in known:
            continue
        draft = ThingToPackDraft(
            brief_id=brief.id, name=line.name, heap=line.heap, why=line.why[:LONGEST_WHY]
        )
        thing = things_to_pack.add(desk, draft)
        thing.usual = line.key
        added.append(thing)
    if not added:
        raise NothingChanged("All usual lines are on the list, or in the offcuts bin.")
    desk.session.flush()
    return added


things_to_pack = ThingsToPack()
