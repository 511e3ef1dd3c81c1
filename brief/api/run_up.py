"""The run-up of a brief: what is to be expected, its starting list, and its days for a calendar."""

from __future__ import annotations

from fastapi.responses import Response

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.html_file import as_download, file_name
from brief.api.problems import responses
from brief.api.routing import Router
from brief.plan.ical import MEDIA_TYPE
from brief.services import nouns
from brief.services.run_up.expected import RunUpView, calendar, run_up
from brief.services.run_up.starting_list import fill

router = Router(prefix="/api/briefs/{brief_id}", tags=["run-up"])


@router.get("/run-up", summary="What is to be expected of a run-up", responses=responses(404, 422))
def read(brief_id: str, desk: ReadingDesk) -> RunUpView:
    """When each stage is worked at, when it must be, and the chance to be ready in time."""
    return run_up(desk, nouns.briefs.get(desk, brief_id))


@router.post(
    "/run-up",
    status_code=201,
    summary="Give a brief the usual stages",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def start(brief_id: str, desk: WritingDesk) -> RunUpView:
    """Its starting list: by its instrument and parts, or by the maker's own record."""
    brief = nouns.briefs.get(desk, brief_id)
    fill(desk, brief)
    return run_up(desk, brief)


@router.get(
    "/run-up.ics",
    summary="The days of a run-up as iCalendar",
    response_class=Response,
    responses={200: {"content": {MEDIA_TYPE: {}}}, **responses(404, 422)},
)
def days(brief_id: str, desk: ReadingDesk) -> Response:
    """The file that a calendar imports once; a calendar link keeps one up to date."""
    brief = nouns.briefs.get(desk, brief_id)
    return as_download(calendar(desk, brief), file_name(brief, "run-up.ics"), MEDIA_TYPE)
