"""The trip of a brief: as a whole, its beginning, its packing list, and its stand."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from fastapi.responses import Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.printing import PDF, pdf_answer
from brief.api.problems import responses
from brief.api.routing import Router
from brief.paper.contents import BookletPaper, CardPaper
from brief.services import nouns
from brief.services.outputs.stand_papers import caption_pdf, price_list_pdf
from brief.services.trip.itinerary.beginning import TripDraft, begin_trip
from brief.services.trip.packing_list import ThingToPackView, fill_packing
from brief.services.trip.trip import TripView, trip_of

router = Router(prefix="/api/briefs/{brief_id}", tags=["trip"])


@router.get("/trip", summary="The trip of a brief", responses=responses(404))
def read(brief_id: str, desk: ReadingDesk) -> TripView:
    """What comes when, what is open, and what does not fit together."""
    return trip_of(desk, nouns.briefs.get(desk, brief_id))


@router.post(
    "/trip",
    status_code=201,
    summary="Begin the trip of a brief",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def begin(brief_id: str, desk: WritingDesk, draft: TripDraft) -> TripView:
    """Make its stops, the legs there and back, its nights and the opening, all still open."""
    brief = nouns.briefs.get(desk, brief_id)
    begin_trip(desk, brief, draft)
    return trip_of(desk, brief)


@router.post(
    "/packing-list",
    status_code=201,
    summary="Add what is usually packed, and what the brief asks for",
    responses=responses(400, 403, 404, 409, 413, 422, 507),
)
def fill(brief_id: str, desk: WritingDesk) -> list[ThingToPackView]:
    """Add the lines that were never on the list."""
    added = fill_packing(desk, nouns.briefs.get(desk, brief_id))
    return nouns.things_to_pack.show_all(desk, added)


@router.get(
    "/caption.pdf",
    summary="The caption to stand beside the instrument",
    response_class=Response,
    responses={200: PDF, **responses(404, 422, 507)},
)
def caption(
    brief_id: str, desk: ReadingDesk, paper: Annotated[CardPaper, Query()] = "A5"
) -> Response:
    """Title, the maker’s words, materials by both names; a price if one was given."""
    return pdf_answer(desk, brief_id, caption_pdf(desk, brief_id, paper), "caption")


@router.get(
    "/price-list.pdf",
    summary="The price list for the stand",
    response_class=Response,
    responses={200: PDF, **responses(404, 422, 507)},
)
def price_list(
    brief_id: str, desk: ReadingDesk, paper: Annotated[BookletPaper, Query()] = "A4"
) -> Response:
    """The price list, a PDF. Refused while there is nothing on it."""
    return pdf_answer(desk, brief_id, price_list_pdf(desk, brief_id, paper), "price-list")
