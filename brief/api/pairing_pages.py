"""The pages where colours are seen on wood: pairings, and a colour laid on a board (GET only)."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import HTMLResponse, Response

from brief.api.desks import ReadingDesk
from brief.api.pages import SEEN_COOKIE, AskedLeaf, AskedOfRack
from brief.api.routing import Router
from brief.api.templates import pages_of
from brief.services import sheets
from brief.services.pairing.view_settings import Switches

router = Router(
    prefix="/briefs/{brief_id}",
    include_in_schema=False,
    default_response_class=HTMLResponse,
)


def _switches(request: Request) -> Switches:
    return Switches.parse(request.cookies.get(SEEN_COOKIE, ""))


@router.get("/pairings")
def pairings(request: Request, brief_id: str, desk: ReadingDesk, leaf: AskedLeaf) -> Response:
    """All pairings, seen as the address asks."""
    filled = sheets.pairings(desk, brief_id, _switches(request), request.query_params, leaf)
    return pages_of(request).show("pairings.html", *filled)


@router.get("/pairings/new")
def new(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """The form for a new pairing."""
    filled = sheets.pairing_form(desk, brief_id, None, _switches(request))
    return pages_of(request).show("pairing_form.html", *filled)


@router.get("/pairings/{pairing_id}")
def pairing(request: Request, brief_id: str, pairing_id: str, desk: ReadingDesk) -> Response:
    """One pairing, seen as the address asks."""
    filled = sheets.pairing(desk, brief_id, pairing_id, _switches(request), request.query_params)
    return pages_of(request).show("pairing.html", *filled)


@router.get("/pairings/{pairing_id}/pieces")
def pieces(request: Request, brief_id: str, pairing_id: str, desk: ReadingDesk) -> Response:
    """The form for other pieces in a pairing."""
    filled = sheets.pairing_form(desk, brief_id, pairing_id, _switches(request))
    return pages_of(request).show("pairing_form.html", *filled)


@router.get("/boards")
def boards(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    asked: AskedOfRack,
    page: int = 1,
    on: str = "",
) -> Response:
    """Boards to choose from by eye; `on` is the id of the piece that each is to be set into."""
    filled = sheets.boards(desk, brief_id, _switches(request), asked, page, on)
    return pages_of(request).show("boards_found.html", *filled)


@router.get("/lay")
def lay(request: Request, brief_id: str, desk: ReadingDesk) -> Response:
    """A colour on a board, as the address asks."""
    filled = sheets.lay(desk, brief_id, _switches(request), request.query_params)
    return pages_of(request).show("lay.html", *filled)
