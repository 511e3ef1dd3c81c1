"""The scheme of a brief, and what the rack could do for it."""

from typing import Annotated

from fastapi import Query
from pydantic import BaseModel, ConfigDict, Field

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.common.amounts import Price
from brief.services.spec.offers.asking import Limits
from brief.services.spec.offers.nearest import NEAREST_MOST, NearView, nearest_pieces
from brief.services.spec.offers.recommendations import AskedView, UseView, ask_rack, uses_for
from brief.services.spec.scheme_views import SchemeView
from brief.services.spec.schemes import scheme_view

router = Router(tags=["schemes"])


class SchemeAsked(BaseModel):
    """Which parts may be chosen anew, and within which limits."""

    model_config = ConfigDict(extra="forbid")

    open: list[str] = Field(max_length=20, description="Ids of the parts to be chosen anew")
    no_papers: bool = False
    most_price: Price | None = None
    sized: bool = Field(True, description="Only pieces large enough, as far as that is known")


def limits_of(asked: SchemeAsked) -> Limits:
    """The limits of a question to the rack."""
    return Limits(frozenset(asked.open), asked.no_papers, asked.most_price, asked.sized)


@router.get(
    "/api/briefs/{brief_id}/scheme",
    summary="Whether all parts hold together and carry the theme",
    responses=responses(404),
)
def scheme(brief_id: str, desk: ReadingDesk) -> SchemeView | None:
    """The verdict on all parts of a brief together."""
    return scheme_view(desk, nouns.briefs.get(desk, brief_id))


@router.get(
    "/api/briefs/{brief_id}/proposals",
    summary="What the rack could make of the open parts",
    responses=responses(404, 422),
)
def proposals(
    brief_id: str, desk: ReadingDesk, asked: Annotated[SchemeAsked, Query()]
) -> AskedView:
    """What the rack could do for the open parts."""
    return ask_rack(desk, nouns.briefs.get(desk, brief_id), limits_of(asked))


@router.get(
    "/api/briefs/{brief_id}/uses/{material_id}",
    summary="What a piece could be used for in a brief",
    responses=responses(404),
)
def uses(brief_id: str, material_id: str, desk: ReadingDesk) -> list[UseView]:
    """What a piece of the rack could be used for."""
    brief = nouns.briefs.get(desk, brief_id)
    return uses_for(desk, brief, nouns.materials.get(desk, material_id))


@router.get(
    "/api/nearest",
    summary="The pieces of the rack nearest to a colour",
    responses=responses(422),
)
def nearest(
    desk: ReadingDesk,
    colour: Annotated[str, Query(max_length=100, examples=["#7a4a2c"])],
    count: Annotated[int, Query(ge=1, le=NEAREST_MOST)] = 10,
) -> list[NearView]:
    """The pieces of the rack nearest to a colour."""
    return nearest_pieces(desk, colour, count)
