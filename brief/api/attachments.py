"""Documents of a trip: made by files, read by whoever keeps the brief, and by nobody else."""

from typing import Annotated
from urllib.parse import quote

from fastapi import File, Form, UploadFile
from fastapi.responses import FileResponse, Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.nouns import attachments
from brief.services.trip.attached import bare_name
from brief.services.trip.attachments import AttachmentView

router = noun_router(attachments)


@router.post(
    "/pictures",
    status_code=201,
    summary="Attach PDFs, PNGs or JPEGs: all of them or none",
    responses=responses(400, 403, 413, 422, 507),
)
def add_files(
    desk: WritingDesk,
    files: Annotated[list[UploadFile], File()],
    brief_id: Annotated[str, Form()],
) -> list[AttachmentView]:
    """Attach each file."""
    added = []
    for place, file in enumerate(files):
        with in_file(f"/files/{place}"):
            name, data = contents(file)
            added.append(attachments.add_file(desk, brief_id, name, data))
    return attachments.show_all(desk, added)


@router.get(
    "/{record_id}/file",
    summary="The file as it was given",
    response_class=FileResponse,
    responses={200: {"content": {"application/pdf": {}, "image/*": {}}}, **responses(404)},
)
def file(record_id: str, desk: ReadingDesk) -> Response:
    """A download that nothing keeps: what somebody else made is never opened in these pages."""
    record = attachments.get(desk, record_id)
    view = attachments.show(desk, record)
    name = quote(bare_name(view.file_name))
    return FileResponse(
        desk.images.path(record.image_sha256),
        media_type=view.media_type,
        headers={
            "Content-Disposition": f"attachment; filename*=UTF-8''{name}",
            "Cache-Control": "no-store",
        },
    )
