"""The first verdict: two photographs, or one and a colour, and what comes of them."""

from typing import Annotated

from fastapi import Form, UploadFile
from pydantic import Field, ValidationInfo, field_validator

from brief.api.desks import WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.uploads import contents, in_file
from brief.errors import InputError
from brief.services.common.field_types import Draft, Line
from brief.services.nouns import pairings, photographs
from brief.services.pairing.first_verdict import NOT_SAID, first_verdict, of_a_colour
from brief.services.pairing.pairings import LineWidth, PairingView

router = Router(prefix="/api/first-verdicts", tags=["pairings"])


class FirstForm(Draft):
    """What is known of a timber and an inlay before there is anything else."""

    timber: UploadFile
    inlay_colour: Line = Field("", description="Instead of its photograph", examples=["#f0e6d0"])
    inlay: UploadFile | None = Field(None, validate_default=True)
    line_mm: LineWidth | None = Field(None, description="Width of the inlay's line")

    @field_validator("inlay")
    @classmethod
    def is_there_or_its_colour(
        cls, inlay: UploadFile | None, told: ValidationInfo
    ) -> UploadFile | None:
        """Here, so that it is said together with what else is missing."""
        if inlay is None and told.data.get("inlay_colour") == "":
            raise InputError("Add a photograph of the inlay, or type its colour.")
        return inlay


@router.post(
    "",
    status_code=201,
    summary="A verdict on two photographs, or one and a colour: makes two pieces and a brief",
    responses=responses(400, 403, 413, 422, 507),
)
def judge(
    desk: WritingDesk, form: Annotated[FirstForm, Form(media_type="multipart/form-data")]
) -> PairingView:
    """Make pieces and brief, all or nothing, and judge."""
    with in_file("/timber"):
        ground = photographs.add_piece(desk, *contents(form.timber))
    if form.inlay is None:
        inlay = of_a_colour(desk, form.inlay_colour)
    else:
        with in_file("/inlay"):
            inlay = photographs.add_piece(desk, *contents(form.inlay), stuff=NOT_SAID)
    return pairings.show(desk, first_verdict(desk, ground, inlay, form.line_mm))
