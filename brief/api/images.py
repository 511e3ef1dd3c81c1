"""Image bytes: renditions for pages, and the files as they were given."""

import hashlib
from typing import Annotated, Any, Literal

from fastapi import Depends, Path, Query, Request
from fastapi.responses import FileResponse, Response

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.photo import Region
from brief.services.common.noun import ENTITY_TAG
from brief.services.photos.pictures import SEEN, Tone, existing_image, shown_picture

router = Router(prefix="/images", tags=["images"])
# What an address with a hash leads to never changes. Where the owner signs out, the browser has to
# ask again each time; over plain HTTP the lock lets it keep nothing at all.
FOREVER = "private, max-age=31536000, immutable"
ASK_AGAIN = "private, no-cache"

LAB = r"^(100(\.0)?|\d{1,2}(\.\d)?)(,-?\d{1,3}(\.\d)?){2}$"

Sha256 = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


class _Keeping:
    """How a browser may keep what is at an address, and whether it has it already."""

    def __init__(self, request: Request) -> None:
        asked = f"{request.url.path}?{request.url.query}"
        etag = f'"{hashlib.sha256(asked.encode()).hexdigest()}"'
        locked = request.app.state.settings.locked
        self.headers = {"ETag": etag, "Cache-Control": ASK_AGAIN if locked else FOREVER}
        known = ENTITY_TAG.findall(request.headers.get("if-none-match", ""))
        self.unchanged = etag in [tag for _weak, tag in known]


Keeping = Annotated[_Keeping, Depends()]
# RFC 9110, 13.1.2
UNCHANGED: dict[int | str, dict[str, Any]] = {
    304: {"description": "It is as the ETag in If-None-Match says"}
}


@router.get(
    "/{sha256}/original",
    summary="The file as it was given",
    response_class=FileResponse,
    responses={200: {"content": {"image/*": {}}}, **UNCHANGED, **responses(404, 422, 507)},
)
def original(sha256: Sha256, desk: ReadingDesk, keeping: Keeping) -> Response:
    """The file as it was given."""
    image = existing_image(desk, sha256)
    if keeping.unchanged:
        return Response(status_code=304, headers=keeping.headers)
    return FileResponse(
        desk.images.path(sha256),
        media_type=image.media_type,
        filename=image.name,
        headers=keeping.headers,
    )


@router.get(
    "/{sha256}/{size}",
    summary="A JPEG rendition, sRGB, without the photograph's own data",
    response_class=Response,
    responses={200: {"content": {"image/jpeg": {}}}, **UNCHANGED, **responses(404, 422, 507)},
)
def shown(
    sha256: Sha256,
    size: Literal["thumb", "page", "texture"],
    desk: ReadingDesk,
    keeping: Keeping,
    region: Annotated[str | None, Query(max_length=80)] = None,
    mean: Annotated[
        str | None,
        Query(
            pattern=LAB,
            description="L,a,b that a colour of the picture is brought to",
            examples=["38.2,9.1,15.4"],
        ),
    ] = None,
    of: Annotated[
        str | None,
        Query(
            alias="from",
            pattern=f"^{SEEN}$|{LAB}",
            description="Which colour that is; left out or “seen”, the mean of what is shown, less "
            "glare and what is clipped",
            examples=["45.0,12.3,20.1"],
        ),
    ] = None,
) -> Response:
    """A rendition of a picture, or of a region of it."""
    existing_image(desk, sha256)
    if keeping.unchanged:
        return Response(status_code=304, headers=keeping.headers)
    part = Region.parse(region) if region else None
    jpeg = shown_picture(desk, sha256, size, part, Tone.read(mean, of))
    return Response(jpeg, media_type="image/jpeg", headers=keeping.headers)
