"""The studio: pictures computed by light are asked for, watched, cancelled."""

from dataclasses import replace
from typing import Annotated, Any, Literal

from fastapi import Depends, Request
from fastapi.responses import Response
from pydantic import BaseModel, Field

from brief.api.desks import ReadingDesk, studio_of
from brief.api.problems import responses
from brief.api.routing import Router
from brief.api.templates import pages_of
from brief.colour.viewing.conditions import State
from brief.errors import NotFound
from brief.services import nouns
from brief.services.common.field_types import Draft
from brief.services.pages.instrument.studio import studio_jobs
from brief.services.studio.jobs import Job
from brief.services.studio.shots import Fineness, StudioAsked, planned
from brief.services.studio.studio import Studio
from brief.studio.views import View

router = Router(tags=["studio-pictures"])
page_router = Router(include_in_schema=False)
PNG: dict[str, Any] = {"content": {"image/png": {}}}


TheStudio = Annotated[Studio, Depends(studio_of)]


class StudioDraft(Draft):
    """What is asked of the studio."""

    view: View = Field("turned", description="From where it is taken")
    light: str = Field(
        "D65",
        max_length=30,
        description="The id of a place of the brief, or a light’s CIE name",
        examples=["LED-B3"],
    )
    state: State = Field("finished", description="Of the timber")
    fineness: Fineness = Field("fine", description="“small” takes an eighth of the time")


class StudioJobView(BaseModel):
    """A picture under way."""

    id: str
    state: Literal["waiting", "working", "done", "cancelled", "failed"]
    done: int = Field(description="Passes of light that are done")
    of: int = Field(description="Passes of light in all")
    left_s: float | None = Field(description="Seconds it takes yet, about, if that is known")
    ahead: int = Field(description="How many pictures come before it")
    picture: str | None = Field(description="Where it is as far as it is; null before that")
    studio_picture: str | None = Field(description="Address of what was kept, once it is done")
    said: str = Field(description="Why it failed")


@router.post(
    "/api/briefs/{brief_id}/studio",
    status_code=202,
    summary="Have the studio compute a picture of the instrument",
    responses=responses(400, 403, 404, 409, 413, 422, 507),
)
def ask(brief_id: str, desk: ReadingDesk, studio: TheStudio, draft: StudioDraft) -> StudioJobView:
    """One that was made of the same before is done at once."""
    brief = nouns.briefs.get(desk, brief_id)
    plan = planned(desk, brief, StudioAsked(draft.view, draft.light, draft.state, draft.fineness))
    before = nouns.studio_pictures.made_before(desk, plan)
    if before is not None:
        done = Job(brief.id, plan.name, plan.asked, state="done", done=1, of=1)
        return view_of(studio, replace(done, picture_id=before.id))
    return view_of(studio, studio.ask(plan))


@router.get("/api/studio-jobs/{job_id}", summary="How far a picture is", responses=responses(404))
def look(job_id: str, studio: TheStudio) -> StudioJobView:
    """A picture under way; those that ended long ago are forgotten."""
    return view_of(studio, studio.get(job_id))


@router.get(
    "/api/studio-jobs/{job_id}/picture",
    summary="A picture as far as it is",
    response_class=Response,
    responses={200: PNG, **responses(404)},
)
def so_far(job_id: str, studio: TheStudio) -> Response:
    """It is small at first, and has more grain than it will have."""
    png = studio.jobs.png(studio.get(job_id).id)
    if png is None:
        raise NotFound("There is nothing to see of it yet; try again in a few seconds.")
    return Response(png, media_type="image/png", headers={"Cache-Control": "no-store"})


@router.delete(
    "/api/studio-jobs/{job_id}", summary="Cancel a picture", responses=responses(403, 404, 507)
)
def cancel(job_id: str, studio: TheStudio) -> StudioJobView:
    """Nothing is kept of it. One that failed is shown no more; one that is done stays."""
    return view_of(studio, studio.cancel(job_id))


def view_of(studio: Studio, job: Job) -> StudioJobView:
    """A job as it is shown."""
    address = f"/api/studio-jobs/{job.id}/picture?after={job.done}"
    made = f"/api/studio-pictures/{job.picture_id}" if job.picture_id else None
    return StudioJobView(
        id=job.id,
        state=job.state,
        done=job.done,
        of=job.of,
        left_s=None if job.left_s is None else round(job.left_s, 1),
        ahead=studio.ahead(job) if job.state == "waiting" else 0,
        picture=address if job.seen and job.state in ("working", "done") else None,
        studio_picture=made,
        said=job.said,
    )


@page_router.get("/briefs/{brief_id}/studio/under-way")
def under_way(request: Request, brief_id: str, desk: ReadingDesk, studio: TheStudio) -> Response:
    """What the studio has under way for a brief, as its sheet shows it."""
    brief = nouns.briefs.get(desk, brief_id)
    jobs = studio.of(brief.id)
    shown = studio_jobs(brief.id, jobs, [studio.ahead(one) for one in jobs])
    return pages_of(request).show("studio_jobs.html", shown)
