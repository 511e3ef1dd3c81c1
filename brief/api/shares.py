"""Links for others: beside what all nouns do, a new one is told with the address that others can
open."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from brief.api.desks import WritingDesk
from brief.api.hosts import Hosts
from brief.api.nouns import ETAG, noun_router, with_etag
from brief.api.problems import responses
from brief.services.nouns import shares
from brief.services.sharing.shares import ShareDraft, ShareView

router: APIRouter = noun_router(shares, making=False)
THIS_COMPUTER = Hosts()  # its own loopback names alone


@router.post(
    "",
    status_code=201,
    summary="Make a share",
    responses={201: ETAG, **responses(400, 403, 413, 422, 507)},
)
def make(request: Request, response: Response, desk: WritingDesk, draft: ShareDraft) -> ShareView:
    """Make a link for others, with the address that they can reach."""
    view = shares.show(desk, shares.add(desk, draft))
    view.link = f"{address_for_others(request)}{view.address}"
    response.headers["Location"] = f"/api/shares/{view.id}"
    shown: ShareView = with_etag(response, view)
    return shown


def address_for_others(request: Request) -> str:
    """Where others find this server, without a slash at the end: as the maker came to it, unless
    that was by a name that leads nowhere from another device and there is a better one."""
    known: tuple[str, ...] = request.app.state.settings.addresses
    if known and THIS_COMPUTER.include(request.headers["host"]):
        return known[0].rstrip("/")
    return str(request.base_url).rstrip("/")
