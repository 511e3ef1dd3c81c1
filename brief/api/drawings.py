"""The sheets to measure from, as files."""

from typing import Annotated

from fastapi import Query
from fastapi.responses import Response

from brief.api.desks import ReadingDesk
from brief.api.printing import PDF, pdf_answer
from brief.api.problems import responses
from brief.api.routing import Router
from brief.instrument.plans.files.tiles import Paper
from brief.instrument.plans.tooled import Cuts, Tool
from brief.paper.contents import BookletPaper
from brief.services import nouns
from brief.services.drawing.machine import GapWidth, ToolWidth
from brief.services.drawing.plans import (
    MEDIA,
    DrawingsView,
    PlanFormat,
    SheetName,
    draw,
    drawings_view,
)
from brief.services.outputs.sawing_papers import sawing_pdf
from brief.services.spec.cutting import CutListView, cut_list_view
from brief.services.spec.sawing.sawing import USUAL_KERF_MM, Kerf, sawn_boards
from brief.services.spec.sawing.sawn_view import SawnBoardsView

router = Router(prefix="/api/briefs/{brief_id}/drawings", tags=["briefs"])


@router.get(
    "",
    summary="The sheets there are, and what to heed where a machine cuts from them",
    responses=responses(404),
)
def sheets(brief_id: str, desk: ReadingDesk) -> DrawingsView:
    """The sheets to measure from, and their addresses."""
    return drawings_view(desk, nouns.briefs.get(desk, brief_id))


@router.get(
    "/cut-list",
    summary="What to buy and to cut, finished and as blanks, and which piece yields which",
    responses=responses(404),
)
def cut_list(brief_id: str, desk: ReadingDesk) -> CutListView:
    """The cut list of a brief's instrument; blanks are rounded up."""
    return cut_list_view(desk, nouns.briefs.get(desk, brief_id))


@router.get(
    "/cut-list/boards",
    summary="Where to saw each piece of the rack, laid out on its photograph",
    responses=responses(404, 422),
)
def boards(
    brief_id: str,
    desk: ReadingDesk,
    kerf_mm: Annotated[Kerf, Query(description="How wide the saw cuts")] = USUAL_KERF_MM,
) -> SawnBoardsView:
    """Where to saw each piece of the rack that a part is of."""
    brief = nouns.briefs.get(desk, brief_id)
    return SawnBoardsView(items=sawn_boards(desk, brief, kerf_mm))


@router.get(
    "/cut-list/boards/{material_id}.pdf",
    summary="One of them as a sheet to take to the saw",
    response_class=Response,
    responses={200: PDF, **responses(404, 422)},
)
def board_as_pdf(
    brief_id: str,
    material_id: str,
    desk: ReadingDesk,
    paper: Annotated[BookletPaper, Query(description="A4 or Letter")] = "A4",
    kerf_mm: Annotated[Kerf, Query(description="How wide the saw cuts")] = USUAL_KERF_MM,
) -> Response:
    """Where to saw one piece, a PDF."""
    data = sawing_pdf(desk, brief_id, material_id, paper, kerf_mm)
    return pdf_answer(desk, brief_id, data, "sawing")


@router.get(
    "/{sheet}.{form}",
    summary="A sheet in true millimetres, as SVG, DXF or PDF",
    response_class=Response,
    responses={200: {"content": {kind: {} for kind in MEDIA.values()}}, **responses(404, 422)},
)
def sheet_as_file(
    brief_id: str,
    sheet: SheetName,
    form: PlanFormat,
    desk: ReadingDesk,
    paper: Annotated[Paper, Query(description="What a PDF is tiled on")] = "A4",
    tool_mm: Annotated[
        ToolWidth, Query(description="How wide a machine cuts, of an SVG or a DXF for its tool")
    ] = 0.0,
    gap_mm: Annotated[
        GapWidth, Query(description="Room round what is let in, on every side")
    ] = 0.0,
    cuts: Annotated[Cuts, Query(description="What that tool cuts")] = "all",
    *,
    small: Annotated[
        bool, Query(description="Of an SVG: without words and sizes, to be looked at")
    ] = False,
) -> Response:
    """One sheet to measure from, as a file."""
    tool = Tool(tool_mm, gap_mm, cuts)
    drawn = draw(desk, nouns.briefs.get(desk, brief_id), sheet, form, paper, tool, small=small)
    kept = "inline" if form == "svg" else "attachment"
    return Response(
        drawn.data,
        media_type=drawn.media_type,
        headers={
            "Content-Disposition": f'{kept}; filename="{drawn.name}"',
            "Cache-Control": "no-cache",
        },
    )
