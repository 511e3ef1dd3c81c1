"""The rack: beside what all nouns do, pieces come from photographs."""

from typing import Annotated

from fastapi import File, UploadFile

from brief.api.desks import WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.nouns import materials, photographs
from brief.services.rack.piece_views import MaterialView

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
    """Add a piece for each photograph."""
    added = []
    for place, file in enumerate(files):
        with in_file(f"/files/{place}"):
            added.append(photographs.add_piece(desk, *contents(file)))
    return materials.show_all(desk, added)
