"""Pictures of the instrument, as files to be shown elsewhere."""

from typing import Annotated, Any, Literal

from fastapi import Query, Request
from fastapi.responses import Response

from brief.api.desks import ReadingDesk
from brief.api.images import UNCHANGED
from brief.api.problems import responses
from brief.api.routing import Router
from brief.colour.viewing.conditions import State
from brief.colour.viewing.light import DAYLIGHT
from brief.services import nouns
from brief.services.common.finding import listed
from brief.services.common.noun import ENTITY_TAG
from brief.services.drawing.body_files import GLB_MEDIA, Body, body_file, body_name, body_of
from brief.services.drawing.drawing_files import (
    HEIGHT_PX,
    LEAST_PX,
    MOST_PX,
    PICTURE_MEDIA,
    PictureForm,
    SeenFrom,
    Textures,
    picture_file,
)
from brief.services.pairing.view_settings import Switches
from brief.services.photos.lost_pictures import LostPictures, lost_pictures
from brief.store.desk import Desk
from brief.store.records import Brief, Part

router = Router(prefix="/api/briefs/{brief_id}", tags=["briefs"])
# Described once for every file that is made with something plain in place of a lost picture.
NAMES_LOST: dict[str, Any] = {
    "headers": {
        "Link": {
            "description": "Only where it was made without a picture that is missing or damaged: "
            "where those are named (rel=describedby)",
            "schema": {"type": "string"},
        }
    }
}


def naming_lost(desk: Desk, brief_id: str) -> dict[str, str]:
    """The header of a file that was made without pictures; none where it has them all. Link is
    RFC 8288, "describedby" a relation in its registry."""
    if not desk.lost:
        return {}
    return {"Link": f'</api/briefs/{brief_id}/missing-pictures>; rel="describedby"'}


@router.get(
    "/missing-pictures",
    summary="Pictures of the brief and the rack whose files are missing or damaged",
    responses=responses(404, 507),
)
def missing(brief_id: str, desk: ReadingDesk) -> LostPictures:
    """The pictures of a brief whose files are lost."""
    return LostPictures(items=lost_pictures(desk, nouns.briefs.get(desk, brief_id).id))


@router.get(
    "/picture.{form}",
    summary="The instrument in the maker’s own timber, as SVG, PNG or PDF",
    response_class=Response,
    responses={
        200: {"content": {kind: {} for kind in PICTURE_MEDIA.values()}} | NAMES_LOST,
        **responses(404, 422, 507),
    },
)
def picture_as_file(
    brief_id: str,
    form: PictureForm,
    desk: ReadingDesk,
    view: SeenFrom = "front",
    state: Annotated[State, Query(description="Of the wood, where it was tested")] = "bare",
    light: Annotated[
        str, Query(max_length=30, description="A CIE illuminant, or the id of a viewing")
    ] = DAYLIGHT.key,
    eyes: Annotated[Literal["normal", "protan", "deutan", "tritan"], Query()] = "normal",
    relief: Annotated[
        Literal["off", "on"], Query(description="Light and shadow; off keeps colours as measured")
    ] = "off",
    textures: Annotated[
        Textures, Query(description="Whether an SVG holds its photographs or links them")
    ] = "within",
    height: Annotated[
        int, Query(ge=LEAST_PX, le=MOST_PX, description="Of a PNG, pixels")
    ] = HEIGHT_PX,
) -> Response:
    """A picture of the instrument as a file."""
    drawn = picture_file(
        desk,
        nouns.briefs.get(desk, brief_id),
        view,
        form,
        Switches(state, light, eyes, relief=relief),
        textures=textures,
        height_px=height,
    )
    return Response(
        drawn.data,
        media_type=drawn.media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{drawn.name}"',
            "Cache-Control": "no-cache",
            **naming_lost(desk, brief_id),
        },
    )


@router.get(
    "/instrument.glb",
    summary="The instrument as a body that any viewer turns, in the maker’s own timber: glTF 2.0",
    response_class=Response,
    responses={
        200: {"content": {GLB_MEDIA: {}}} | NAMES_LOST,
        **UNCHANGED,
        **responses(404, 422, 507),
    },
)
def turned_instrument(
    request: Request,
    brief_id: str,
    desk: ReadingDesk,
    state: Annotated[State, Query(description="Of the wood, where it was tested")] = "bare",
) -> Response:
    """The instrument as a GLB, computed and in true size."""
    brief = nouns.briefs.get(desk, brief_id)
    body = body_of(desk, brief, listed(desk, Part, brief_id=brief.id), state=state)
    answer = body_answer(request, desk, brief, body)
    answer.headers.update(naming_lost(desk, brief.id))
    return answer


def body_answer(request: Request, desk: Desk, brief: Brief, body: Body) -> Response:
    """A body as GLB, or that it is the one that the browser has."""
    kept = {"ETag": f'"{body.tag}"', "Cache-Control": "private, no-cache"}
    known = ENTITY_TAG.findall(request.headers.get("if-none-match", ""))
    if kept["ETag"] in [tag for _weak, tag in known]:
        return Response(status_code=304, headers=kept)
    data = body_file(desk, body)
    # One with something plain in the place of a lost picture is not to be taken for the whole.
    if desk.lost:
        kept = {"Cache-Control": "no-store"}
    name = {"Content-Disposition": f'attachment; filename="{body_name(brief)}"'}
    return Response(data, media_type=GLB_MEDIA, headers=kept | name)
