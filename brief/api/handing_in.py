"""Handing a brief in, and taking that back."""

from fastapi import Request
from fastapi.concurrency import run_in_threadpool

from brief.api.desks import store_of
from brief.api.problems import responses
from brief.api.registered import DoneInWords, Me, Register, TheHouse
from brief.api.routing import Router
from brief.services.common.field_types import Draft, Id
from brief.services.makers import handing_in
from brief.store.desk import Store
from brief.store.register import HandedIn

router = Router(prefix="/api/handed-in", tags=["makers"])


class HandingIn(Draft):
    """What to hand in."""

    brief_id: Id


@router.post("", status_code=201, responses=responses(404, 422, 507))
def hand_in(draft: HandingIn, request: Request, me: Me, registered: Register) -> DoneInWords:
    """Hand a brief in as it is now."""
    with store_of(request).desk(writing=True, by=me.by) as mine:
        share, title = handing_in.freeze(mine, draft.brief_id)
    with registered.desk(writing=True) as desk:
        handing_in.enter(desk, me.maker or 0, me.workshop_id, share, title)
    return DoneInWords(said=f"“{title}” is handed in as it is now.")


@router.post("/{handed_id}/withdrawing", responses=responses(404, 507))
async def withdraw(handed_id: str, me: Me, registered: Register, house: TheHouse) -> DoneInWords:
    """Take back what was handed in: its link opens nothing any more."""

    def strike() -> HandedIn:
        with registered.desk(writing=True) as desk:
            return handing_in.strike(desk, me.maker or 0, handed_id)

    def shut(store: Store, share_id: str) -> None:
        with store.desk(writing=True, by=me.by) as mine:
            handing_in.withdraw(mine, share_id)

    struck = await run_in_threadpool(strike)
    async with house.at(struck.workshop_id) as workshop:
        store = workshop.store if workshop else registered
        await run_in_threadpool(shut, store, struck.share_id)
    return DoneInWords(said=f"“{struck.title}” is no longer handed in.")
