"""A whole brief as one zip, out and in."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import Depends, File, Query, Response, UploadFile
from fastapi.responses import StreamingResponse

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.streams import in_turn
from brief.api.uploads import in_file
from brief.services.history.parcels.arrival import Arrival
from brief.services.history.parcels.parcel import SCHEMA_FILE
from brief.services.history.parcels.schema import schema
from brief.services.transfer.zip_files import (
    MEDIA_TYPE,
    Packed,
    file_name,
    opened_parcel,
    write_parcel,
)

router = Router(prefix="/api", tags=["parcels"])


@router.get(
    "/briefs/{brief_id}/parcel.zip",
    summary="The whole brief as one zip, its private things with it",
    response_class=StreamingResponse,
    responses={200: {"content": {MEDIA_TYPE: {}}}, **responses(404, 413, 422, 507)},
)
def take_along(
    brief_id: str,
    desk: ReadingDesk,
    trip: Annotated[
        Literal["with", "without"],
        Query(description="Whether its legs, stays, contacts and packing list go along"),
    ] = "with",
) -> StreamingResponse:
    """A whole brief as a zip; the documents of its trip stay here."""
    with ExitStack() as until_written:
        file = until_written.enter_context(tempfile.TemporaryFile())
        parcel = write_parcel(desk, brief_id, file, trip=trip == "with")
        until_written.pop_all()  # from here on the answer closes it
    size = file.tell()
    file.seek(0)
    return StreamingResponse(
        in_turn(file),
        media_type=MEDIA_TYPE,
        headers={
            # RFC 8187, 3.2: the one form in which a header holds letters of any script
            "Content-Disposition": f"attachment; filename*=UTF-8''{quote(file_name(parcel.title))}",
            "Content-Length": str(size),
            "Cache-Control": "no-store",
        },
    )


def _opened(file: Annotated[UploadFile, File()]) -> Iterator[Packed]:
    with in_file("/file"), opened_parcel(file.file) as packed:
        yield packed


# Ahead of the desk, which others are waiting for.
Opened = Annotated[Packed, Depends(_opened, scope="function")]


@router.post(
    "/parcels",
    status_code=201,
    summary="Bring in a brief that was packed up: all of it or nothing",
    responses={
        200: {"model": Arrival, "description": "It is here already; nothing was added"},
        **responses(400, 403, 413, 422, 507),
    },
)
def bring_in(response: Response, packed: Opened, desk: WritingDesk) -> Arrival:
    """Open a brief that was saved as a zip."""
    with in_file("/file"):
        arrival = packed.bring_in(desk)
    if arrival.outcome == "here":
        response.status_code = 200
    response.headers["Location"] = f"/api/briefs/{arrival.brief_id}"
    return arrival


@router.get(f"/parcels/{SCHEMA_FILE}", summary="What may stand in a parcel’s brief.json")
def published() -> dict[str, Any]:
    """The JSON Schema of the document in a zip."""
    return schema()
