"""A brief that is begun from another one."""

from fastapi import Response

from brief.api.desks import WritingDesk
from brief.api.nouns import ETAG, with_etag
from brief.api.problems import responses
from brief.api.routing import Router
from brief.services import nouns
from brief.services.history.beginnings import BeginningDraft, begin_from
from brief.services.theme.briefs import BriefView

router = Router(prefix="/api/briefs", tags=["briefs"])


@router.post(
    "/beginnings",
    status_code=201,
    summary="Begin a brief from another one, with copies of what is asked for",
    responses={201: ETAG, **responses(400, 403, 404, 413, 422, 507)},
)
def begin(response: Response, desk: WritingDesk, draft: BeginningDraft) -> BriefView:
    """Begin a brief from another one."""
    view = nouns.briefs.show(desk, begin_from(desk, draft))
    response.headers["Location"] = f"/api/briefs/{view.id}"
    with_etag(response, view)
    return view
