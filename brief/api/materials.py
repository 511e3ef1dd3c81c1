"""The rack: beside what all nouns do, pieces come from photographs, and are photographed."""

from typing import Annotated

from fastapi import File, Response, UploadFile

from brief.api.desks import WritingDesk
from brief.api.nouns import IfMatch, noun_router, with_etag
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.nouns import materials
from brief.services.rack import MaterialView

router = noun_router(materials)


@router.post(
    "/pictures",
    status_code=201,
    summary="Add pieces by their photographs, one piece for each: all of them or none",
    responses=responses(400, 403, 413, 422, 507),
)
def add_pictures(
    desk: WritingDesk, files: Annotated[list[UploadFile], File()]
) -> list[MaterialView]:
    added = []
    for place, file in enumerate(files):
        with in_file(f"/files/{place}"):
            added.append(materials.add_picture(desk, *contents(file)))
    return materials.show_all(desk, added)


@router.put(
    "/{record_id}/picture",
    summary="Give a piece its photograph, and measure its colour anew",
    responses=responses(400, 403, 404, 412, 413, 422, 428, 507),
)
def photograph(
    record_id: str,
    response: Response,
    desk: WritingDesk,
    if_match: IfMatch,
    file: Annotated[UploadFile, File()],
) -> MaterialView:
    with in_file("/file"):
        name, data = contents(file)
        material = materials.photograph(desk, record_id, if_match, name, data)
    view: MaterialView = with_etag(response, materials.show(desk, material))
    return view
