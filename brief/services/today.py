"""How a brief stands today, in one glance: whether it will be ready, what is next, what is open."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from datetime import date, timedelta

from pydantic import BaseModel, Field

from brief.colour.verdicts.pairs import Reading
from brief.english import number_of, words
from brief.errors import InputError
from brief.services.common.field_types import Id
from brief.services.common.finding import listed, look_up
from brief.services.common.formatting import day
from brief.services.cost.cost import cost_glance
from brief.services.feedback.unread import counts
from brief.services.pairing.glances import glances
from brief.services.pairing.seen_in import seen_in
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import Switches
from brief.services.run_up.expected import expected, in_words
from brief.services.spec.blanks import blanks_of, is_too_small
from brief.services.spec.passport import passport_of
from brief.services.theme.rights import counted, unclear
from brief.services.trip.trip import trip_glance
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Pairing, Part, Reference, Viewing

MOST_NAMED = 3
SOON_DAYS, PACK_DAYS = 60, 14  # our own


class NextView(BaseModel):
    """The stage that is worked at next."""

    stage_id: Id
    name: str
    begin: date


class OpenView(BaseModel):
    """Something still open, and where it is closed."""

    label: str = Field(description="What of the brief", examples=["Parts", "Comments"])
    words: str = Field(examples=["3 without wood: Top, Neck and Nut"])
    at: str = Field(description="Address of the sheet, below the brief's", examples=["spec"])


class TodayView(BaseModel):
    """How a brief stands."""

    brief_id: Id
    title: str
    today: date
    word: str = Field(description="Whether it will be ready in time", examples=["In time", "Tight"])
    because: str
    due: date | None = Field(description="The day it must be ready to ship")
    days_left: int | None = Field(description="From today until then; negative once it has passed")
    chance: float | None = Field(description="Of being ready in time, 0 to 1")
    next: NextView | None
    open: list[OpenView] = Field(description="What is not settled, in the order of the sheets")


def today(desk: Desk, brief: Brief, on: date | None = None) -> TodayView:
    """How a brief stands on a day; today, unless another is asked for."""
    on = on or date.today()
    chance, upcoming = None, None
    try:
        found = expected(desk, brief, on)
        word, because = in_words(found)
        chance = found.chance if found.turns else None
        if found.to_do:
            first = found.to_do[0]
            upcoming = NextView(stage_id=first.stage.key, name=first.stage.name, begin=first.begin)
    except InputError as exc:
        word, because = "Open", str(exc)
    due = brief.wanted_by
    if due is not None and due < on and upcoming is None and word == "Open":
        word, because = "Late", f"{day(due)} has passed, and {because}"
    return TodayView(
        brief_id=brief.id,
        title=brief.title,
        today=on,
        word=word,
        because=because,
        due=due,
        days_left=(due - on).days if due else None,
        chance=chance,
        next=upcoming,
        open=list(_open(desk, brief, on)),
    )


def _open(desk: Desk, brief: Brief, on: date) -> Iterator[OpenView]:
    parts = listed(desk, Part, brief_id=brief.id)
    bare = [part for part in parts if part.material_id is None]
    if bare:
        said = f"{len(bare)} without wood: {_named([one.name for one in bare])}"
        yield OpenView(label="Parts", words=said, at=f"spec#part-{bare[0].id}")
    small = _too_small(desk, brief, parts)
    if small:
        said = f"too small for {_named([one.name for one in small])}"
        yield OpenView(label="Wood", words=said, at=f"spec#part-{small[0].id}")
    weak = _weak(desk, brief, {part.material_id for part in parts})
    for reading, said in (("sinks", "sinks"), ("doubtful", "borderline")):
        those = [one for one, found in weak if found == reading]
        if those:
            pairs = _named([f"{one.inlay.label} on {one.ground.label}" for one in those])
            yield OpenView(label="Inlay", words=f"{said}: {pairs}", at="pairings")
    unsaid = unclear(listed(desk, Reference, brief_id=brief.id))
    if unsaid:
        yield OpenView(label="Rights", words=f"{counted(unsaid)} not clear", at="credits")
    passport = passport_of(desk, brief)
    lacking = [one.name for one in passport.entries if one.keep]
    if lacking:
        said = f"{number_of(len(lacking), 'material')} to complete: {_named(lacking)}"
        yield OpenView(label="Papers", words=said, at="papers")
    if passport.ask_by is not None and passport.ask_by <= on + timedelta(days=SOON_DAYS):
        said = f"ask about them by {day(passport.ask_by)}, {passport.days} days before it leaves"
        yield OpenView(label="Papers", words=said, at="papers#documents")
    if 0 < (brief.papers_days or 0) < passport.days:
        said = f"the run-up allows {brief.papers_days} days; {passport.days} may be needed"
        yield OpenView(label="Papers", words=said, at="run-up#dates")
    yield from _open_trip(desk, brief, on)
    cost = cost_glance(desk, brief)
    if cost.left is not None and cost.left < 0:
        yield OpenView(label="Cost", words=cost.sentence.removesuffix("."), at="cost")
    said_of = counts(desk, brief.id)
    if said_of.open or said_of.new:
        new = [f"{said_of.new} new"] * bool(said_of.new)
        said = words([*new, *[f"{said_of.open} open"] * bool(said_of.open)])
        yield OpenView(label="Comments", words=said, at="comments")


def _open_trip(desk: Desk, brief: Brief, on: date) -> Iterator[OpenView]:
    """What does not fit or is not booked; what is not packed only once it is time to pack."""
    trip = trip_glance(desk, brief, on)
    if trip.next_leg is None:
        return
    for said in trip.warnings[:MOST_NAMED]:
        yield OpenView(label="Trip", words=said.removesuffix("."), at="trip")
    if trip.unpacked and trip.days_to_leaving is not None and trip.days_to_leaving <= PACK_DAYS:
        said = f"{number_of(len(trip.unpacked), 'thing')} to pack: {_named(trip.unpacked)}"
        yield OpenView(label="Trip", words=said, at="trip#packing")


def _too_small(desk: Desk, brief: Brief, parts: Sequence[Part]) -> list[Part]:
    """The parts whose piece is too small for them."""
    look_up(desk, Material, [one.material_id for one in parts if one.material_id])
    blanks = blanks_of(desk, brief, parts)
    return [
        one
        for one in parts
        if one.material_id is not None
        and is_too_small(blanks[one.id], desk.session.get_one(Material, one.material_id))
    ]


def _weak(desk: Desk, brief: Brief, used: Collection[str | None]) -> list[tuple[Pairing, Reading]]:
    """Inlays that sink or are borderline as the Pairings sheet shows them by itself: where visitors
    stand, if that is known. Of pieces that no part is made of nothing is open."""
    pairings = [
        one
        for one in listed(desk, Pairing, brief_id=brief.id)
        if one.ground_id in used and one.inlay_id in used
    ]
    viewings = listed(desk, Viewing, brief_id=brief.id)
    sides = sides_of(desk, pairings)
    finished = any("finished" in one.shifts for two in sides.values() for one in two.surfaces)
    seen = seen_in({}, Switches(), viewings, finished=finished)
    found = glances(pairings, sides, seen, viewings)
    read = [(one, found[one.id].reading) for one in pairings if one.id in found]
    return [(one, reading) for one, reading in read if reading != "reads"]


def _named(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return words([*names[:MOST_NAMED], f"{more} more"]) if more > 0 else words(names)
