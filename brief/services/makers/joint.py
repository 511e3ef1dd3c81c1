"""Joint workshops: where makers work together on a brief, each under their own name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select

from brief.errors import InputError, NotFound
from brief.services.common.noun import etag_of
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.unpacking import unpack
from brief.services.makers import register
from brief.services.nouns import briefs
from brief.services.offcuts import remove
from brief.store.desk import Desk
from brief.store.register import Doing, Maker, Member, Workshop

MOST_DOINGS = 200
MOST_JOINT = 20  # our own: each is a home of its own, some 240 tables on a server


@dataclass(frozen=True)
class Entrance:
    """A workshop that a maker may enter. title : "" for their own. others : who else may."""

    id: str
    title: str
    others: tuple[str, ...]
    is_here: bool


def copy_over(mine: Desk, joint: Desk, brief_id: str) -> str:
    """Bring a brief, with what it uses of the rack, into a joint workshop. Returns its title.

    Raises NotFound if it is not there.
    """
    return unpack(joint, pack(mine, brief_id), mine.images.sound_bytes).title


def put_away(mine: Desk, brief_id: str) -> None:
    """Put a brief that is in a joint workshop now into the offcuts bin."""
    remove(mine, briefs, brief_id, etag_of(briefs.get(mine, brief_id)))


def check_room(desk: Desk, number: int) -> None:
    """Raise InputError if that maker works in as many joint workshops as one may."""
    there = select(func.count()).select_from(Member).where(Member.maker == number)
    if (desk.session.scalar(there) or 0) >= MOST_JOINT:
        raise InputError(f"You work in {MOST_JOINT} joint workshops. Leave one first.")


def open_joint(desk: Desk, workshop_id: str, title: str, makers: Sequence[int]) -> None:
    """Have a workshop that was made be theirs together."""
    desk.session.add(Workshop(id=workshop_id, title=title))
    desk.session.flush()
    desk.session.add_all(Member(workshop_id=workshop_id, maker=one) for one in sorted({*makers}))
    desk.session.flush()


def admit(desk: Desk, number: int, workshop_id: str, another: int) -> None:
    """Let one more maker into a joint workshop. Raises NotFound unless `number` is a member."""
    _joint(desk, number, workshop_id)
    if desk.session.get(Member, (workshop_id, another)) is None:
        desk.session.add(Member(workshop_id=workshop_id, maker=another))
        desk.session.flush()


def leave(desk: Desk, number: int, workshop_id: str) -> None:
    """Be a member no more. Raises NotFound unless one is, InputError for the last one there."""
    _joint(desk, number, workshop_id)
    if not _others(desk, workshop_id, number):
        raise InputError(
            "You are the last one there: what was made there would be out of everybody’s reach. "
            "Let another maker in first, or leave it as it is."
        )
    desk.session.delete(desk.session.get_one(Member, (workshop_id, number)))
    desk.session.flush()


def entrances(desk: Desk, number: int, here: str) -> tuple[Entrance, ...]:
    """Every workshop that a maker may enter, their own first. here : at which they are."""
    own = register.maker(desk, number).workshop_id
    asked = select(Workshop).join(Member, Member.workshop_id == Workshop.id)
    joint = desk.session.scalars(
        asked.where(Member.maker == number).order_by(Workshop.made_utc)
    ).all()
    return (
        Entrance(own, "", (), is_here=here == own),
        *(
            Entrance(one.id, one.title, _others(desk, one.id, number), is_here=here == one.id)
            for one in joint
        ),
    )


@dataclass(frozen=True)
class DoneBy:
    """Something that somebody did. noun : what kind of record, in words."""

    at_utc: datetime
    by: str
    what: str
    noun: str
    name: str


def doings(desk: Desk) -> tuple[DoneBy, ...]:
    """Who did what in this workshop, the newest first."""
    found = desk.session.scalars(
        select(Doing).order_by(Doing.at_utc.desc(), Doing.id.desc()).limit(MOST_DOINGS)
    )
    return tuple(
        DoneBy(one.at_utc, one.by, one.what, one.kind.replace("_", " ").removesuffix("s"), one.name)
        for one in found
    )


def _joint(desk: Desk, number: int, workshop_id: str) -> Workshop:
    found = desk.session.get(Workshop, workshop_id)
    if found is None or desk.session.get(Member, (workshop_id, number)) is None:
        raise NotFound("You work in no such joint workshop.")
    return found


def _others(desk: Desk, workshop_id: str, number: int) -> tuple[str, ...]:
    asked = select(Maker.name).join(Member, Member.maker == Maker.number)
    return tuple(
        desk.session.scalars(
            asked.where(Member.workshop_id == workshop_id, Member.maker != number).order_by(
                Maker.number
            )
        )
    )
