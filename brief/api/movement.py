"""How the parts of a brief move with the air that the instrument is in."""

from brief.api.desks import ReadingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.spec.movement.movement import movement_of
from brief.services.spec.movement.movement_words import MovementView

router = Router(prefix="/api/briefs/{brief_id}/movement", tags=["climates"])


@router.get("", summary="How its parts move with the air", responses=responses(404))
def movement(brief_id: str, desk: ReadingDesk) -> MovementView:
    """What the climates of a brief do to its parts and inlays."""
    return movement_of(desk, nouns.briefs.get(desk, brief_id))
