"""A brief on paper: the booklet and the card, as PDF."""

from typing import Annotated, Any, Literal

from fastapi import Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk
from brief.api.pictures import NAMES_LOST, naming_lost
from brief.api.problems import responses
from brief.api.routing import Router
from brief.paper.contents import BookletPaper, CardPaper, StrandPaper
from brief.services.common.field_types import Line
from brief.services.outputs.booklets import booklet_pdf
from brief.services.outputs.cards import card_pdf
from brief.services.outputs.strand_sheets import STRAND_MEDIA, StrandForm, strand_sheet
from brief.services.sharing.share_scope import LeaveOut, for_own_eyes, handed_over
from brief.store.desk import Desk

router = Router(prefix="/api/briefs/{brief_id}", tags=["briefs"])
STRANDS: dict[str, Any] = {"content": {kind: {} for kind in STRAND_MEDIA.values()}, **NAMES_LOST}
PDF: dict[str, Any] = {"content": {"application/pdf": {}}, **NAMES_LOST}


class OnPaper(BaseModel):
    """What is printed, and what becomes of references whose rights are not clear."""

    model_config = ConfigDict(extra="forbid")

    leave_out: LeaveOut = Field(
        "nothing", description="“unclear” prints without references whose rights are not clear"
    )


class BookletAsked(OnPaper):
    """What is asked of a booklet."""

    paper: BookletPaper = "A4"
    cover: str = Field(
        "instrument",
        max_length=30,
        description="“instrument”, or the id of a studio picture that others may see",
    )
    comments: bool = Field(
        False,
        description="Whether comments are printed, too; none on private references, on colours or "
        "on pieces of the rack",
    )


class CardAsked(OnPaper):
    """What is asked of a card."""

    paper: CardPaper = Field("A5", description="On A4 and Letter two cards, to be cut")
    maker: Line = Field("", description="What the maker says of themself")
    lines: Line | None = Field(
        None, description="Of the theme; its first two sentences if left out, empty for none"
    )
    picture: str = Field(
        "instrument",
        max_length=30,
        description="“instrument”, “none”, or the id of a picture among the references, or of a "
        "studio picture that others may see",
    )


class StrandsAsked(OnPaper):
    """What is asked of the sheet of strands."""

    paper: StrandPaper = Field("A3", description="Of a PDF, lying on its longer side")
    for_whom: Literal["others", "me"] = Field(
        "others",
        description="“me” prints private items, too, and those without clear rights, with the "
        "nearest pieces of the rack; “others” leaves private items out",
    )


def pdf_answer(desk: Desk, brief_id: str, data: bytes, name: str) -> Response:
    """A PDF as a download of that name; which pictures it went without is in its headers."""
    return Response(
        data,
        media_type="application/pdf",
        headers={
            "Content-Disposition": f'attachment; filename="{name}.pdf"',
            "Cache-Control": "no-store",
            **naming_lost(desk, brief_id),
        },
    )


@router.get(
    "/booklet.pdf",
    summary="The brief as a booklet to be printed",
    response_class=Response,
    responses={200: PDF, **responses(404, 409, 422, 507)},
)
def booklet(brief_id: str, desk: ReadingDesk, asked: Annotated[BookletAsked, Query()]) -> Response:
    """The booklet, a PDF."""
    data = booklet_pdf(
        handed_over(desk, brief_id),
        asked.paper,
        leave_out=asked.leave_out,
        comments=asked.comments,
        cover=asked.cover,
    )
    return pdf_answer(desk, brief_id, data, "booklet")


@router.get(
    "/card.pdf",
    summary="A card to stand beside the piece at a show",
    response_class=Response,
    responses={200: PDF, **responses(404, 409, 422, 507)},
)
def card(brief_id: str, desk: ReadingDesk, asked: Annotated[CardAsked, Query()]) -> Response:
    """The card, a PDF."""
    data = card_pdf(
        handed_over(desk, brief_id),
        asked.paper,
        maker=asked.maker,
        lines=asked.lines,
        picture=asked.picture,
        leave_out=asked.leave_out,
    )
    return pdf_answer(desk, brief_id, data, "card")


@router.get(
    "/strands.{form}",
    summary="The strands of the theme as one sheet, PDF or PNG",
    response_class=Response,
    responses={200: STRANDS, **responses(404, 409, 422, 507)},
)
def strands(
    brief_id: str, form: StrandForm, desk: ReadingDesk, asked: Annotated[StrandsAsked, Query()]
) -> Response:
    """The strands as a file."""
    scope = (for_own_eyes if asked.for_whom == "me" else handed_over)(desk, brief_id)
    made = strand_sheet(scope, form, asked.paper, leave_out=asked.leave_out)
    return Response(
        made.data,
        media_type=made.media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{made.name}"',
            "Cache-Control": "no-store",
            **naming_lost(desk, brief_id),
        },
    )
