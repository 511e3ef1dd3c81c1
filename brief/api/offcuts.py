"""The offcuts bin."""

from brief.api.desks import ReadingDesk
from brief.api.routing import Router
from brief.services.offcuts import OffcutView, offcuts

router = Router(prefix="/api/offcuts", tags=["offcuts"])


@router.get("", summary="What lies in the offcuts bin, latest first")
def list_offcuts(desk: ReadingDesk) -> list[OffcutView]:
    """The offcuts bin."""
    return offcuts(desk)
