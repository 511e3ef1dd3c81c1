"""The numbers of a brief's instrument."""

from typing import Annotated

from fastapi import Body, Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import ETAG, IfMatch, with_etag
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.instrument.dimensions import NumbersView, numbers_view
from brief.services.spec.dimension_changes import SentChange, change_numbers

router = Router(prefix="/api/briefs/{brief_id}/numbers", tags=["briefs"])


@router.get("", summary="The numbers of its instrument", responses={200: ETAG, **responses(404)})
def numbers_now(brief_id: str, response: Response, desk: ReadingDesk) -> NumbersView:
    """The numbers of a brief's instrument."""
    shown: NumbersView = with_etag(response, numbers_view(nouns.briefs.get(desk, brief_id)))
    return shown


@router.patch(
    "",
    summary="Change some numbers of its instrument",
    responses={200: ETAG, **responses(400, 403, 404, 412, 413, 422, 428, 507)},
)
def change_numbers_of(
    brief_id: str,
    response: Response,
    desk: WritingDesk,
    if_match: IfMatch,
    changes: Annotated[
        dict[str, SentChange],
        Body(
            description="Millimetres, or a text with its unit; null takes the kind’s own again",
            examples=[{"scale_mm": 640, "nut_mm": "1 3/4 in"}],
        ),
    ],
) -> NumbersView:
    """Change numbers of a brief's instrument."""
    shown: NumbersView = with_etag(response, change_numbers(desk, brief_id, if_match, changes))
    return shown
