"""Colours as files for other programs, out and in."""

from typing import Annotated

from fastapi import File, Form, UploadFile
from fastapi.responses import PlainTextResponse, Response
from pydantic import BaseModel, Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.uploads import contents, in_file
from brief.services.nouns import materials
from brief.services.outputs import colour_files
from brief.services.outputs.colour_files import ColourFormat
from brief.services.rack.piece_views import MaterialView

router = Router(prefix="/api/exchange", tags=["exchange"])

MEDIA: dict[ColourFormat, str] = {"txt": "text/plain", "css": "text/css", "svg": "image/svg+xml"}


class Readings(BaseModel):
    """What was read onto the rack."""

    materials: list[MaterialView]
    warnings: list[str] = Field(
        description="What was left out of the file, and what it left to be taken for granted"
    )


def _file(text: str, name: str, form: ColourFormat) -> Response:
    return Response(
        text,
        media_type=MEDIA[form],
        headers={"Content-Disposition": f'attachment; filename="{name}.{form}"'},
    )


@router.get(
    "/rack.txt",
    summary="The rack's colours as CGATS text",
    response_class=PlainTextResponse,
    responses=responses(422),
)
def rack(desk: ReadingDesk) -> Response:
    """The colours of the rack as a CGATS file."""
    return _file(colour_files.rack_as_cgats(desk), "rack", "txt")


@router.get(
    "/briefs/{brief_id}/swatches.{form}",
    summary="A brief's swatches as CGATS text, CSS or SVG",
    response_class=Response,
    responses={200: {"content": {kind: {} for kind in MEDIA.values()}}, **responses(404, 422)},
)
def swatches(brief_id: str, form: ColourFormat, desk: ReadingDesk) -> Response:
    """The swatches of a brief as a file."""
    return _file(colour_files.swatches_as(desk, brief_id, form), "swatches", form)


@router.get(
    "/palettes/{palette_id}.{form}",
    summary="A palette as CGATS text, CSS or SVG",
    response_class=Response,
    responses={200: {"content": {kind: {} for kind in MEDIA.values()}}, **responses(404, 422)},
)
def palette(palette_id: str, form: ColourFormat, desk: ReadingDesk) -> Response:
    """A palette as a file."""
    return _file(colour_files.palette_as(desk, palette_id, form), "palette", form)


@router.post(
    "/rack",
    status_code=201,
    summary="Read a CGATS text of Lab or spectral readings onto the rack, by sample name",
    responses=responses(400, 403, 413, 422, 507),
)
def read_onto_rack(
    desk: WritingDesk,
    file: Annotated[UploadFile, File()],
    full_reflectance: Annotated[
        float | None,
        Form(
            gt=0,
            allow_inf_nan=False,
            description="What full reflectance is written as, if the file is silent",
        ),
    ] = None,
) -> Readings:
    """Put the colours of a CGATS file onto the rack."""
    with in_file("/file"):
        _name, data = contents(file)
        read, warnings = colour_files.readings_to_rack(desk, data, full_reflectance)
    return Readings(materials=materials.show_all(desk, read), warnings=warnings)
