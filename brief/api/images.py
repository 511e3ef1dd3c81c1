"""Image bytes: renditions for pages, and the files as they were given."""

from typing import Annotated, Literal

from fastapi import APIRouter, Path, Query
from fastapi.responses import FileResponse, Response

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.photo import Region
from brief.services.pictures import existing_image, shown_picture

router = APIRouter(prefix="/images", tags=["images"])
# What lies under a hash never changes.
FOREVER = {"Cache-Control": "private, max-age=31536000, immutable"}

LAB = r"^(100(\.0)?|\d{1,2}(\.\d)?)(,-?\d{1,3}(\.\d)?){2}$"

Sha256 = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]


@router.get(
    "/{sha256}/original",
    summary="The file as it was given",
    response_class=FileResponse,
    responses={200: {"content": {"image/*": {}}}, **responses(404, 422)},
)
def original(sha256: Sha256, desk: ReadingDesk) -> FileResponse:
    image = existing_image(desk, sha256)
    return FileResponse(
        desk.images.path(sha256),
        media_type=image.media_type,
        filename=image.name,
        headers=FOREVER,
    )


@router.get(
    "/{sha256}/{size}",
    summary="A JPEG rendition, sRGB, without the photograph's own data",
    response_class=Response,
    responses={200: {"content": {"image/jpeg": {}}}, **responses(404, 422, 507)},
)
def shown(
    sha256: Sha256,
    size: Literal["thumb", "page", "texture"],
    desk: ReadingDesk,
    region: Annotated[str | None, Query(max_length=80)] = None,
    mean: Annotated[
        str | None,
        Query(
            pattern=LAB,
            description="L,a,b that the mean of the picture is brought to",
            examples=["38.2,9.1,15.4"],
        ),
    ] = None,
) -> Response:
    toned = [float(part) for part in mean.split(",")] if mean else None
    jpeg = shown_picture(desk, sha256, size, Region.parse(region) if region else None, toned)
    return Response(jpeg, media_type="image/jpeg", headers=FOREVER)
