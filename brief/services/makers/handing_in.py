"""Handing a brief in: what whoever organises is to see of it, as it is at that moment.

It is an ordinary link for reading to a kept state. Its secret stands in the register, so that it
can be opened from the list again; it opens nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select

from brief.errors import NotFound, NothingChanged
from brief.services.history.revisions import RevisionDraft, last_revision, revisions
from brief.services.makers import register
from brief.services.nouns import briefs
from brief.services.sharing.shares import LONGEST_DAYS, ShareDraft, shares
from brief.store.desk import Desk
from brief.store.records import Share, now_utc
from brief.store.register import HandedIn

SHOWN_TO = "whoever organises"  # as the page says it to them
SHEETS = ["theme", "references", "pairings", "spec", "drawing"]


@dataclass(frozen=True)
class Handed:
    """What was handed in, as the list has it. address : of its link."""

    id: str
    by: str
    title: str
    made_utc: datetime
    address: str


def freeze(mine: Desk, brief_id: str) -> tuple[Share, str]:
    """Keep the brief as it is and make the link to that; returns it and the title.

    Raises NotFound if it is not there.
    """
    brief = briefs.get(mine, brief_id)
    with suppress(NothingChanged):  # since the last one, which is then what there is to hand in
        revisions.add(mine, RevisionDraft(brief_id=brief_id, note="Handed in"))
    kept = last_revision(mine, brief_id)
    last = now_utc().date() + timedelta(days=LONGEST_DAYS)
    share = shares.add(
        mine,
        ShareDraft.model_validate(
            {
                "brief_id": brief_id,
                "name": SHOWN_TO,
                "revision_id": kept and kept.id,
                "sheets": SHEETS,
                "may_comment": False,
                "expires_on": last.isoformat(),
            }
        ),
    )
    return share, brief.title


def enter(desk: Desk, number: int, workshop_id: str, share: Share, title: str) -> HandedIn:
    """Put it on the list."""
    record = HandedIn(
        workshop_id=workshop_id,
        maker=number,
        brief_id=share.brief_id,
        share_id=share.id,
        title=title,
        token=share.token,
    )
    desk.session.add(record)
    desk.session.flush()
    return record


def handed_in(desk: Desk, number: int | None = None) -> tuple[Handed, ...]:
    """What one maker handed in, or all did, the newest first."""
    asked = select(HandedIn).order_by(HandedIn.made_utc.desc())
    if number is not None:
        asked = asked.where(HandedIn.maker == number)
    names = register.names(desk)
    found: Sequence[HandedIn] = desk.session.scalars(asked).all()
    return tuple(
        Handed(one.id, names[one.maker], one.title, one.made_utc, f"/s/{one.token}")
        for one in found
    )


def strike(desk: Desk, number: int, handed_id: str) -> HandedIn:
    """Take it off the list. Raises NotFound if it is none of that maker's."""
    found = desk.session.get(HandedIn, handed_id)
    if found is None or found.maker != number:
        raise NotFound("You handed in no such brief.")
    desk.session.delete(found)
    return found


def withdraw(mine: Desk, share_id: str) -> None:
    """Have its link open nothing any more."""
    share = mine.session.get(Share, share_id)
    if share is not None and share.withdrawn_utc is None:
        share.withdrawn_utc = share.changed_utc = now_utc()
