"""The passport of an instrument: its materials, and the papers to ask about."""

from typing import Annotated

from fastapi import Query
from fastapi.responses import Response

from brief.api.desks import ReadingDesk
from brief.api.printing import PDF, pdf_answer
from brief.api.problems import responses
from brief.api.routing import Router
from brief.paper.contents import BookletPaper
from brief.services import nouns
from brief.services.outputs.passports import passport_pdf
from brief.services.spec.passport import PassportView, passport_of

router = Router(prefix="/api/briefs/{brief_id}", tags=["briefs"])


@router.get("/passport", summary="Its materials, and papers to ask about", responses=responses(404))
def passport(brief_id: str, desk: ReadingDesk) -> PassportView:
    """The passport of a brief's instrument."""
    return passport_of(desk, nouns.briefs.get(desk, brief_id))


@router.get(
    "/passport.pdf",
    summary="The same to be printed",
    response_class=Response,
    responses={200: PDF, **responses(404, 422, 507)},
)
def passport_on_paper(
    brief_id: str, desk: ReadingDesk, paper: Annotated[BookletPaper, Query()] = "A4"
) -> Response:
    """The passport, a PDF."""
    return pdf_answer(desk, brief_id, passport_pdf(desk, brief_id, paper), "passport")
