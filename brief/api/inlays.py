"""Inlays: beside what all nouns do, an inlay can be judged as drawn."""

from fastapi import APIRouter

from brief.api.desks import ReadingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.services import nouns
from brief.services.drawing.whole_inlays import InlaySeen, inlay_seen

router: APIRouter = noun_router(nouns.inlays)


@router.get("/{record_id}/seen", summary="Whether all of it shows", responses=responses(404))
def seen(record_id: str, desk: ReadingDesk) -> InlaySeen:
    """An inlay as drawn, under every condition of its brief."""
    return inlay_seen(desk, nouns.inlays.get(desk, record_id))
