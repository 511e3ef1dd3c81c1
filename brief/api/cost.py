"""What a brief costs, for its maker alone."""

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.cost.cost import cost_of
from brief.services.cost.cost_view import CostView, cost_view

router = Router(prefix="/api/briefs/{brief_id}/cost", tags=["cost"])


@router.get("", summary="What it costs, and what is left", responses=responses(404, 422))
def cost(brief_id: str, desk: ReadingDesk) -> CostView:
    """Where the asking price goes, what is left of it, and what is missing. Private."""
    brief = nouns.briefs.get(desk, brief_id)
    return cost_view(brief, cost_of(desk, brief))
