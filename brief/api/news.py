"""What is new on a brief, and that it has been seen."""

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services.feedback.unread import NewsView, SeenDraft, mark_seen, news

router = Router(prefix="/api/briefs/{brief_id}/new-comments", tags=["comments"])


@router.get("", summary="What is new on a brief", responses=responses(404))
def new_comments(brief_id: str, desk: ReadingDesk) -> NewsView:
    """The comments that came in since the maker last looked."""
    return news(desk, brief_id)


@router.post(
    "/seen",
    summary="Say that what was new has been seen",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def seen(brief_id: str, desk: WritingDesk, looked: SeenDraft) -> NewsView:
    """Mark comments as seen."""
    return mark_seen(desk, brief_id, looked.upto)
