"""One colour in every notation; Munsell is slow, so pages ask for it apart."""

from typing import Annotated

from fastapi import Query
from pydantic import BaseModel, Field

from brief.api.problems import responses
from brief.api.routing import Router
from brief.colour.notation.munsell import munsell_of
from brief.colour.notation.notation import parse_colour
from brief.services.common.colour_view import ColourView, colour_view
from brief.services.common.field_types import in_field

router = Router(prefix="/api/colours", tags=["colours"])


class NotatedView(BaseModel):
    """A colour in every notation."""

    colour: ColourView
    munsell: str | None = Field(examples=["7.5YR 5.2/4.1"])
    munsell_reason: str = Field(description="Why there is none, if there is none")


@router.get("", summary="A colour in every notation, Munsell included", responses=responses(422))
def notated(
    colour: Annotated[str, Query(max_length=200, examples=["Lab 56 17 34"])],
) -> NotatedView:
    """A typed colour in every notation, Munsell included."""
    with in_field("colour"):
        lab = parse_colour(colour)
        munsell = munsell_of(lab)
    return NotatedView(
        colour=colour_view(lab, 0.0), munsell=munsell.notation, munsell_reason=munsell.reason
    )
