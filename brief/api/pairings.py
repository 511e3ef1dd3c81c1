"""Pairings: beside what all nouns do, a pairing can be looked at."""

from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.colour.viewing.colour_vision import EyesKind
from brief.colour.viewing.conditions import State
from brief.services import nouns
from brief.services.drawing.pair_pictures import picture_as_asked
from brief.services.pairing.view_settings import Switches, shown_as
from brief.services.pairing.viewings import Distance

router: APIRouter = noun_router(nouns.pairings)


class ShownAs(BaseModel):
    """As what a pairing is to be shown."""

    model_config = ConfigDict(extra="forbid")

    state: State = "bare"
    light: str = Field(
        "D65", max_length=30, description="A CIE illuminant, or the id of a viewing of the brief"
    )
    eyes: EyesKind = "normal"
    distance_m: Distance | None = Field(
        None, description="As the eye has it from there; close up without it"
    )


@router.get(
    "/{record_id}/picture",
    summary="60 x 40 mm of the timber with the line at its true width",
    response_class=Response,
    responses={200: {"content": {"image/jpeg": {}}}, **responses(404, 422, 507)},
)
def picture(record_id: str, desk: ReadingDesk, asked: Annotated[ShownAs, Query()]) -> Response:
    """The picture of a pairing, a JPEG."""
    pairing = nouns.pairings.get(desk, record_id)
    viewings = nouns.viewings.page(desk, brief_id=pairing.brief_id)
    shown = shown_as(Switches(asked.state, asked.light, asked.eyes), viewings)
    jpeg = picture_as_asked(desk, pairing, shown, asked.distance_m)
    return Response(jpeg, media_type="image/jpeg", headers={"Cache-Control": "no-cache"})
