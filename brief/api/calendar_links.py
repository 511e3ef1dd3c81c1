"""Links that a calendar subscribes to: made by the maker, opened by the secret in the address."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.guests import SHORTLY
from brief.api.limits import Client, Limits
from brief.api.nouns import ETAG, noun_router, with_etag
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.shares import address_for_others
from brief.errors import NotFound
from brief.plan.ical import MEDIA_TYPE
from brief.services.nouns import calendar_links
from brief.services.run_up.expected import calendar
from brief.services.sharing.calendar_links import (
    CalendarLinkDraft,
    CalendarLinkView,
    subscribed,
)

router: APIRouter = noun_router(calendar_links, making=False)


@router.post(
    "",
    status_code=201,
    summary="Make a calendar link",
    responses={201: ETAG, **responses(400, 403, 413, 422, 507)},
)
def make(
    request: Request, response: Response, desk: WritingDesk, draft: CalendarLinkDraft
) -> CalendarLinkView:
    """Make a link for a calendar, with the address that it can reach."""
    view = calendar_links.show(desk, calendar_links.add(desk, draft))
    view.link = f"{address_for_others(request)}{view.address}"
    response.headers["Location"] = f"/api/calendar-links/{view.id}"
    shown: CalendarLinkView = with_etag(response, view)
    return shown


opened = Router()


@opened.get("/s/{token}/run-up.ics", include_in_schema=False)
def days(token: str, desk: ReadingDesk, limits: Limits, client: Client) -> Response:
    """The days of a run-up as they are now. Who tries many wrong secrets is made to wait."""
    try:
        link, brief = subscribed(desk, token)
    except NotFound:
        limits.check("token", client)
        raise
    limits.check("sheet", link.id)
    return Response(calendar(desk, brief), media_type=MEDIA_TYPE, headers=SHORTLY)
