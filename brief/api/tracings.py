"""Outlines traced from a mould: made by files, else as all nouns."""

from typing import Annotated

from fastapi import File, Form, UploadFile
from fastapi.responses import Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.instrument.straight_picture import straight_picture
from brief.services.instrument.tracings import TracingView
from brief.services.nouns import tracings

router = noun_router(tracings)


@router.post(
    "/pictures",
    status_code=201,
    summary="Add SVG drawings or photographs of moulds: all of them or none",
    responses=responses(400, 403, 413, 422, 507),
)
def add_pictures(
    desk: WritingDesk,
    files: Annotated[list[UploadFile], File()],
    brief_id: Annotated[str, Form()],
) -> list[TracingView]:
    """Add a tracing for each file."""
    added = []
    for place, file in enumerate(files):
        with in_file(f"/files/{place}"):
            name, data = contents(file)
            added.append(tracings.add_file(desk, brief_id, name, data))
    return tracings.show_all(desk, added)


@router.get(
    "/{record_id}/straightened",
    summary="The photograph of a mould as its outline straightens it",
    response_class=Response,
    responses={200: {"content": {"image/jpeg": {}}}, **responses(404, 422, 507)},
)
def straightened(record_id: str, desk: ReadingDesk) -> Response:
    """A JPEG of the mould, flat, at one scale."""
    jpeg = straight_picture(desk, tracings.get(desk, record_id))
    return Response(jpeg, media_type="image/jpeg", headers={"Cache-Control": "no-cache"})
