"""What the page of the makers of a server shows to one of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Select, select

from brief.services.makers import register
from brief.services.makers.handing_in import Handed, handed_in
from brief.services.makers.invitations import still_open
from brief.services.makers.joint import DoneBy, Entrance, doings, entrances
from brief.services.makers.loans import loans_of
from brief.services.sharing import owner
from brief.store.desk import Desk
from brief.store.records import Brief, Material


@dataclass(frozen=True)
class LoanRow:
    """A loan, as whoever lends or borrows reads it. what : the piece; "" for the rack."""

    id: str
    other: str
    what: str


@dataclass(frozen=True)
class MakerRow:
    """A maker, as the owner of the server reads it."""

    number: int
    name: str
    organises: bool
    is_owner: bool
    shut_out: bool


@dataclass(frozen=True)
class InvitationRow:
    """An invitation that nobody has used yet. again : it gives a maker a new passphrase."""

    name: str
    ends_utc: datetime
    again: bool


@dataclass(frozen=True)
class MakersPage:
    """All of it. done : in the joint workshop that this browser is at. handed : to whoever
    organises. everybody, invitations : of the owner alone."""

    me: str
    entrances: tuple[Entrance, ...]
    at_home: bool
    done: tuple[DoneBy, ...]
    briefs: tuple[tuple[str, str], ...]
    pieces: tuple[tuple[str, str], ...]
    lent: tuple[LoanRow, ...]
    borrowed: tuple[LoanRow, ...]
    mine: tuple[Handed, ...]
    organises: bool
    handed: tuple[Handed, ...]
    owns: bool
    everybody: tuple[MakerRow, ...]
    invitations: tuple[InvitationRow, ...]


def makers_page(desk: Desk, there: Desk, number: int, workshop_id: str) -> MakersPage:
    """What that maker is shown. desk : of the register. there : of the workshop they are at."""
    me = register.maker(desk, number)
    names = register.names(desk)
    loans = loans_of(desk, number)
    owns = number == owner.OWNER
    at_home = workshop_id == me.workshop_id
    return MakersPage(
        me=me.name,
        entrances=entrances(desk, number, workshop_id),
        at_home=at_home,
        done=() if at_home else doings(there),
        briefs=_chosen(there, select(Brief.id, Brief.title).where(Brief.binned_utc.is_(None))),
        pieces=_chosen(
            there, select(Material.id, Material.label).where(Material.binned_utc.is_(None))
        ),
        lent=tuple(LoanRow(one.id, names[one.to], one.label) for one in loans if one.by == number),
        borrowed=tuple(
            LoanRow(one.id, names[one.by], one.label) for one in loans if one.to == number
        ),
        mine=handed_in(desk, number),
        organises=me.organises,
        handed=handed_in(desk) if me.organises else (),
        owns=owns,
        everybody=_everybody(desk) if owns else (),
        invitations=_invitations(desk) if owns else (),
    )


def _chosen(there: Desk, asked: Select[str, str]) -> tuple[tuple[str, str], ...]:
    """What can be chosen from, by name."""
    found = [(one[0], one[1]) for one in there.session.execute(asked)]
    return tuple(sorted(found, key=lambda one: (one[1].casefold(), one[0])))


def _everybody(desk: Desk) -> tuple[MakerRow, ...]:
    return tuple(
        MakerRow(
            one.number,
            one.name,
            one.organises,
            one.number == owner.OWNER,
            one.shut_out_utc is not None,
        )
        for one in register.everybody(desk)
    )


def _invitations(desk: Desk) -> tuple[InvitationRow, ...]:
    return tuple(
        InvitationRow(one.name, one.ends_utc, one.maker is not None) for one in still_open(desk)
    )
