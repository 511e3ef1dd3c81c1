"""Parts: beside what all nouns do, a part can be followed back to the theme."""

from brief.api.desks import ReadingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.services.nouns import parts
from brief.services.spec.parts import Thread

router = noun_router(parts)


@router.get(
    "/{record_id}/thread",
    summary="Follow a part back: swatch, palette, reference, motif",
    responses=responses(404),
)
def thread(record_id: str, desk: ReadingDesk) -> Thread:
    """The thread from a part back to the theme."""
    return parts.thread(desk, record_id)
