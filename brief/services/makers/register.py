"""Who is here: the makers of a server that several share. All of it is in the home that the server
was started with; without a maker in it that home is one maker's alone.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from typing import TypeGuard

from sqlalchemy import func, select

from brief.errors import Conflict, InputError, NotFound, quoted
from brief.services.sharing import owner
from brief.store.desk import Desk
from brief.store.records import now_utc
from brief.store.register import OWN, Maker, Member, Workshop

LONGEST_NAME = 80


def is_shared(desk: Desk) -> bool:
    """Whether several makers share this home's server."""
    return desk.session.scalar(select(Maker.number).limit(1)) is not None


def open_to_others(desk: Desk, name: str) -> Maker:
    """Have other makers be invited from now on; `name` is the owner's among them, who keeps their
    briefs and rack where they are.

    Raises Conflict if it is so already, InputError for a name that cannot be used or where the
    owner has no passphrase yet.
    """
    if is_shared(desk):
        raise Conflict("Several makers share these briefs' server already.")
    if not owner.has_passphrase(desk):
        raise InputError.at("passphrase", "set a passphrase of your own first: brief passphrase")
    return join(desk, name, OWN, number=owner.OWNER, organises=True)


def join(
    desk: Desk, name: str, workshop_id: str, *, organises: bool, number: int | None = None
) -> Maker:
    """A new maker, whose own workshop that is.

    Raises InputError if the name is empty, too long or taken.
    """
    shown = fit_name(desk, name)
    if number is None:
        number = 1 + (desk.session.scalar(select(func.max(Maker.number))) or 0)
    desk.session.add(Workshop(id=workshop_id, title=""))
    desk.session.flush()
    record = Maker(
        number=number,
        name=shown,
        key=_key(shown),
        workshop_id=workshop_id,
        organises=organises,
    )
    desk.session.add(record)
    desk.session.flush()
    return record


def fit_name(desk: Desk, name: str) -> str:
    """The name as it is kept. Raises InputError if it cannot be used, or somebody here has it."""
    shown = " ".join(unicodedata.normalize("NFC", name).split())
    if not shown:
        raise InputError.at("name", "this is empty; say what you are called here")
    if len(shown) > LONGEST_NAME or not shown.isprintable():
        raise InputError.at("name", f"a name is one line of at most {LONGEST_NAME} characters")
    if _by_name(desk, shown) is not None:
        raise InputError.at("name", f"somebody here is called {quoted(shown)} already")
    return shown


def numbered(desk: Desk, name: str) -> int | None:
    """The number of who is called so, however it is capitalised; None if nobody is, or no more."""
    found = _by_name(desk, name)
    return found.number if _may_come_in(found) else None


def called(desk: Desk, name: str, *, but: int) -> Maker:
    """Who is called so, and is not `but`. Raises InputError at `to` if nobody is."""
    number = numbered(desk, name)
    if number is None:
        raise InputError.at("to", f"nobody here is called {quoted(name[:LONGEST_NAME])}")
    if number == but:
        raise InputError.at("to", "that is you; name another maker")
    return desk.session.get_one(Maker, number)


def maker(desk: Desk, number: int) -> Maker:
    """The maker with that number. Raises NotFound if there is none, or they were shut out."""
    found = desk.session.get(Maker, number)
    if not _may_come_in(found):
        raise NotFound("There is no such maker here, or no more.")
    return found


def everybody(desk: Desk) -> Sequence[Maker]:
    """All makers in the order they came, those who were shut out with them."""
    return desk.session.scalars(select(Maker).order_by(Maker.number)).all()


def names(desk: Desk) -> Mapping[int, str]:
    """What each is called, by number."""
    return {one.number: one.name for one in everybody(desk)}


def shut_out(desk: Desk, number: int) -> Maker:
    """Let them in no more; what they made stays. Raises NotFound, and InputError for the owner."""
    found = maker(desk, number)
    if number == owner.OWNER:
        raise InputError("The owner of the server cannot be shut out of it.")
    found.shut_out_utc = now_utc()
    owner.sign_out_everywhere(desk, number)
    return found


def let_in_again(desk: Desk, number: int) -> Maker:
    """Let them in again, with the passphrase they had. Raises NotFound."""
    found = desk.session.get(Maker, number)
    if found is None:
        raise NotFound("There is no such maker here.")
    found.shut_out_utc = None
    return found


def is_here(desk: Desk, number: int) -> bool:
    """Whether that is a maker who was not shut out."""
    return _may_come_in(desk.session.get(Maker, number))


def may_enter(desk: Desk, number: int, workshop_id: str) -> bool:
    """Whether that is their own workshop, or a joint one that they are a member of."""
    found = desk.session.get(Maker, number)
    return _may_come_in(found) and (
        found.workshop_id == workshop_id
        or desk.session.get(Member, (workshop_id, number)) is not None
    )


def _by_name(desk: Desk, name: str) -> Maker | None:
    return desk.session.scalars(select(Maker).where(Maker.key == _key(name))).first()


def _may_come_in(found: Maker | None) -> TypeGuard[Maker]:
    return found is not None and found.shut_out_utc is None


def _key(name: str) -> str:
    return unicodedata.normalize("NFKC", " ".join(name.split())).casefold()[: 3 * LONGEST_NAME]
