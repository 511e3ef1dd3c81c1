"""Invitations: links that make somebody a maker here, each of them once.

Like the secrets of all links, theirs is shown once and kept as its SHA-256 alone.
"""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from datetime import timedelta

from sqlalchemy import delete, select

from brief.errors import InputError, NotFound
from brief.services.makers import register
from brief.services.sharing import owner
from brief.services.sharing.shares import TOKEN_BYTES, digest
from brief.store.desk import Desk
from brief.store.records import now_utc
from brief.store.register import Invitation, Maker

LASTS = timedelta(days=14)  # our own: long enough for a letter, short for one that is lost
MOST_OPEN = 200

_USED_UP = (
    "This invitation was used already, or has ended, or never was one. Ask whoever sent it for a "
    "new one."
)


def invite(desk: Desk, name: str, *, organises: bool = False) -> str:
    """What to send to somebody who is to be called so; it works once, for 14 days. An earlier one
    for that name works no more.

    Raises InputError for a name that cannot be used, or if too many are open.
    """
    shown = register.fit_name(desk, name)
    withdraw(desk, shown)
    if len(still_open(desk)) >= MOST_OPEN:
        raise InputError(f"{MOST_OPEN} invitations are open. Wait until some are used or end.")
    return _made(desk, Invitation(name=shown, organises=organises, maker=None))


def invite_again(desk: Desk, number: int) -> str:
    """What to send to a maker who has forgotten their passphrase. Raises NotFound."""
    record = register.maker(desk, number)
    withdraw(desk, record.name)
    return _made(desk, Invitation(name=record.name, organises=record.organises, maker=number))


def withdraw(desk: Desk, name: str) -> int:
    """Have no open invitation for that name work any more; how many there were."""
    gone = [one for one in still_open(desk) if one.name == name]
    for one in gone:
        desk.session.delete(one)
    desk.session.flush()
    return len(gone)


def still_open(desk: Desk) -> Sequence[Invitation]:
    """Those that were neither used nor have ended, the oldest first."""
    asked = select(Invitation).where(Invitation.ends_utc > now_utc())
    return desk.session.scalars(asked.order_by(Invitation.made_utc)).all()


def opened(desk: Desk, token: str) -> Invitation:
    """The invitation of a link. Raises NotFound, in the same words whatever is the matter."""
    found = desk.session.get(Invitation, digest(token))
    if found is None or found.ends_utc <= now_utc():
        raise NotFound(_USED_UP)
    return found


def accept(desk: Desk, token: str, name: str, passphrase: str, workshop_id: str) -> Maker:
    """Make them a maker, whose own workshop that is, or give who is one that passphrase. Nobody can
    use the link again.

    name : what they want to be called; "" as they were invited.
    Raises NotFound if the link opens nothing, InputError for a name or passphrase that cannot be
    used.
    """
    found = opened(desk, token)
    owner.fit_passphrase(passphrase)
    number = found.maker
    if number is None:
        record = register.join(desk, name or found.name, workshop_id, organises=found.organises)
    else:
        record = register.maker(desk, number)
    owner.set_passphrase(desk, passphrase, record.number)
    withdraw(desk, record.name)
    desk.session.execute(delete(Invitation).where(Invitation.token_sha256 == found.token_sha256))
    return record


def _made(desk: Desk, record: Invitation) -> str:
    token = secrets.token_urlsafe(TOKEN_BYTES)
    now = now_utc()
    desk.session.execute(delete(Invitation).where(Invitation.ends_utc <= now))
    record.token_sha256, record.ends_utc = digest(token), now + LASTS
    desk.session.add(record)
    desk.session.flush()
    return token
