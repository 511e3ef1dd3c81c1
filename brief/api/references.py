"""References: beside what all nouns do, pictures are sent as files, several at once."""

from typing import Annotated

from fastapi import Form, Query, UploadFile

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.api.uploads import contents, in_file
from brief.services.common.field_types import RegionText
from brief.services.nouns import references
from brief.services.theme.palettes import SwatchView
from brief.services.theme.picked import PickedDraft, PickedView, look_at, pick
from brief.services.theme.references import CreditDraft, ReferenceFacts, ReferenceView

router = noun_router(references)


class PicturesForm(ReferenceFacts):
    """Pictures as a form sends them, with the facts that hold for all of them."""

    brief_id: str
    files: list[UploadFile]


@router.post(
    "/pictures",
    status_code=201,
    summary="Add pictures, several at once: all of them or none",
    responses=responses(400, 403, 413, 422, 507),
)
def add_pictures(
    desk: WritingDesk, form: Annotated[PicturesForm, Form(media_type="multipart/form-data")]
) -> list[ReferenceView]:
    """Add a reference for each picture."""
    facts = ReferenceFacts(**form.model_dump(exclude={"brief_id", "files"}))
    added = []
    for place, file in enumerate(form.files):
        with in_file(f"/files/{place}"):
            name, data = contents(file)
            added.append(references.add_picture(desk, form.brief_id, name, data, facts))
    return references.show_all(desk, added)


@router.patch(
    "",
    summary="Give several references one credit and one right: all of them or none",
    responses=responses(400, 403, 404, 412, 413, 422, 507),
)
def credit_several(desk: WritingDesk, said: CreditDraft) -> list[ReferenceView]:
    """Credit several references at once."""
    return references.show_all(desk, references.credit(desk, said))


@router.get(
    "/{record_id}/colour",
    summary="The mean colour of a part of the picture; nothing is kept",
    responses=responses(404, 422, 507),
)
def colour(
    record_id: str,
    desk: ReadingDesk,
    region: Annotated[RegionText, Query(examples=["47, 30, 3, 4"])],
) -> PickedView:
    """What colour is there."""
    return look_at(desk, record_id, region)


@router.post(
    "/{record_id}/swatches",
    status_code=201,
    summary="Name the mean colour of a part of the picture",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def pick_colour(record_id: str, desk: WritingDesk, draft: PickedDraft) -> SwatchView:
    """Pick a colour: a palette of that one, and a swatch."""
    return pick(desk, record_id, draft)
