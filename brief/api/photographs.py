"""Photographs of pieces on the rack: made by files, else as all nouns."""

from typing import Annotated

from fastapi import File, Form, UploadFile

from brief.api.desks import WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.nouns import photographs
from brief.services.rack.photographs import PhotographState, PhotographView
from brief.store.records import Photograph

router = noun_router(photographs)


@router.post(
    "/pictures",
    status_code=201,
    summary="Add photographs of a piece, several at once: all of them or none",
    responses=responses(400, 403, 413, 422, 507),
)
def add_pictures(
    desk: WritingDesk,
    files: Annotated[list[UploadFile], File()],
    material_id: Annotated[str, Form()],
    state: Annotated[
        PhotographState | None,
        Form(description="What they show; left out, only a piece’s first is taken for bare"),
    ] = None,
) -> list[PhotographView]:
    """Add photographs to a piece."""
    added: list[Photograph] = []
    for place, file in enumerate(files):
        with in_file(f"/files/{place}"):
            name, data = contents(file)
            added.append(photographs.add_picture(desk, material_id, name, data, state=state))
    return photographs.show_all(desk, added)
