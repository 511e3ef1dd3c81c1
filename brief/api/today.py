"""How a brief stands today."""

from __future__ import annotations

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.today import TodayView, today

router = Router(prefix="/api/briefs/{brief_id}", tags=["today"])


@router.get("/today", summary="How a brief stands today", responses=responses(404))
def read(brief_id: str, desk: ReadingDesk) -> TodayView:
    """Whether it will be ready in time, what is next, and what is still open."""
    return today(desk, nouns.briefs.get(desk, brief_id))
