"""Stocks of others: beside what all nouns do, their boards, and what is looked for among them."""

import tempfile
from contextlib import ExitStack
from typing import Annotated

from fastapi import Query, Request, Response
from fastapi.responses import StreamingResponse

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import LINK, ListWanted, Page, noun_router
from brief.api.problems import responses
from brief.api.streams import in_turn
from brief.services.nouns import briefs, materials, stocks
from brief.services.rack.piece_views import MaterialView
from brief.services.stock.boards import BoardView, board_views, boards_page
from brief.services.stock.looking import (
    MOST,
    LiftView,
    Line,
    NearBoardView,
    PairedBoardView,
    lifts,
    nearest_boards,
    paired_views,
    pairing_with,
)
from brief.services.stock.tables import TableForm, write_table
from brief.services.stock.taking import take_board

router = noun_router(stocks)

MEDIA: dict[TableForm, str] = {
    "csv": "text/csv; charset=utf-8; header=present",  # RFC 4180, 3
    "cgats": "text/plain; charset=utf-8",
    "parquet": "application/vnd.apache.parquet",
}
Count = Annotated[int, Query(ge=1, le=MOST, description="How many boards are wanted")]


@router.get(
    "/{record_id}/boards",
    summary="The boards of a stock, in the order they were measured",
    responses={200: LINK, **responses(404, 422)},
)
def boards(
    record_id: str,
    request: Request,
    response: Response,
    desk: ReadingDesk,
    wanted: Annotated[ListWanted, Query()],
) -> Page[BoardView]:
    """A page of the boards of a stock."""
    stock = stocks.get(desk, record_id)
    found = boards_page(desk, stock, after=wanted.after, limit=wanted.limit + 1)
    items = found[: wanted.limit]
    following = items[-1].id if len(found) > wanted.limit else None
    if following:
        url = request.url.include_query_params(after=following)
        response.headers["Link"] = f'<{url.path}?{url.query}>; rel="next"'
    return Page(items=board_views(desk, items), next=following)


@router.get(
    "/{record_id}/boards.{form}",
    summary="All boards of a stock as CSV or Parquet, or their colours as CGATS text",
    response_class=StreamingResponse,
    responses={
        200: {"content": {kind.partition(";")[0]: {} for kind in MEDIA.values()}},
        **responses(404, 422),
    },
)
def table(record_id: str, form: TableForm, desk: ReadingDesk) -> StreamingResponse:
    """The boards of a stock as a file."""
    stock = stocks.get(desk, record_id)
    with ExitStack() as until_written:
        file = until_written.enter_context(tempfile.TemporaryFile())
        write_table(desk, stock, form, file)
        until_written.pop_all()  # from here on the answer closes it
    size = file.tell()
    file.seek(0)
    return StreamingResponse(
        in_turn(file),
        headers={
            "Content-Type": MEDIA[form],
            "Content-Disposition": f'attachment; filename="boards.{form}"',
            "Content-Length": str(size),
        },
    )


@router.get(
    "/{record_id}/nearest",
    summary="The boards of a stock nearest to a colour",
    responses=responses(404, 422),
)
def nearest(
    record_id: str,
    desk: ReadingDesk,
    colour: Annotated[str, Query(max_length=100, examples=["#7a4a2c"])],
    count: Count = 20,
) -> list[NearBoardView]:
    """The boards nearest to a colour."""
    return nearest_boards(desk, stocks.get(desk, record_id), colour, count)


@router.get(
    "/{record_id}/pairs/{material_id}",
    summary="The boards of a stock for an inlay with a piece of the rack",
    responses=responses(404, 422),
)
def pairs(
    record_id: str,
    material_id: str,
    desk: ReadingDesk,
    line_mm: Annotated[Line, Query(description="Width of the inlay’s line")] = 1.0,
    count: Count = 20,
) -> list[PairedBoardView]:
    """The boards that pair with a piece."""
    stock, piece = stocks.get(desk, record_id), materials.get(desk, material_id)
    return paired_views(desk, pairing_with(desk, stock, piece, line_mm, count))


@router.get(
    "/{record_id}/lifts/{brief_id}",
    summary="What of a stock is nearer to the target colours of a brief than its pieces",
    responses=responses(404, 422),
)
def lifted(record_id: str, brief_id: str, desk: ReadingDesk, count: Count = 5) -> list[LiftView]:
    """What of a stock would lift a brief."""
    return lifts(desk, stocks.get(desk, record_id), briefs.get(desk, brief_id), count)


@router.post(
    "/{record_id}/boards/{board_id}/take",
    status_code=201,
    summary="Take a board into the rack, with its origin",
    responses=responses(403, 404, 422, 507),
)
def take(record_id: str, board_id: str, response: Response, desk: WritingDesk) -> MaterialView:
    """Make a piece of the rack of a board."""
    piece = take_board(desk, stocks.get(desk, record_id), board_id)
    response.headers["Location"] = f"/api/materials/{piece.id}"
    return materials.show(desk, piece)
