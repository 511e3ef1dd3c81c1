"""The Studio sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import chosen
from brief.services.pages.shared import Along, Choices, along
from brief.services.pairing.view_settings import Shown
from brief.services.pairing.viewings import PLAIN_LIGHTS
from brief.services.studio.jobs import Job
from brief.services.studio.shots import EARLIER, SIZES, Fineness, lit_as, plain_view
from brief.services.studio.studio_pictures import StudioPictureView
from brief.store.desk import Desk
from brief.store.records import Brief, Part, Viewing
from brief.studio.renderer import INSTALL, missing
from brief.studio.views import VIEWS


@dataclass(frozen=True)
class Again:
    """What a picture was asked for with, but for the state of the timber: it does not tell that."""

    light: str
    fineness: Fineness


@dataclass(frozen=True)
class StudioSheet:
    """taken : the newest first. lights : the places of the brief first. lacks : why nothing can be
    computed here, in words; install : the one line that helps, where one does. any_wood : whether
    a measured piece is chosen for any part. again : how to make one again that is not of today, by
    its id; none where its light is there no more. earlier : what is said of such a one.
    """

    taken: Sequence[StudioPictureView]
    taken_along: Along
    views: Choices
    lights: Choices
    lacks: str
    install: str
    any_wood: bool
    again: Mapping[str, Again]
    earlier: str


def studio_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[StudioSheet]:
    """What the Studio sheet shows."""
    taken = nouns.studio_pictures.show_all(
        desk, nouns.studio_pictures.page(desk, brief_id=brief.id)[::-1]
    )
    places = nouns.viewings.page(desk, brief_id=brief.id)
    lacks = missing()
    sheet = StudioSheet(
        taken=taken,
        taken_along=along(desk, nouns.studio_pictures, taken),
        views=[(one, plain_view(one)) for one in VIEWS],
        lights=[
            *((one.id, one.name) for one in places),
            ("D65", "daylight"),
            *PLAIN_LIGHTS,
        ],
        lacks=lacks.removesuffix(INSTALL).strip(),
        install=INSTALL if INSTALL in lacks else "",
        any_wood=bool(chosen(desk, listed(desk, Part, brief_id=brief.id))),
        again={} if lacks else _again(taken, places),
        earlier=EARLIER,
    )
    return (sheet,)


def _again(taken: Sequence[StudioPictureView], places: Sequence[Viewing]) -> dict[str, Again]:
    found = {}
    for one in taken:
        small = one.picture.width_px <= SIZES["small"][0]
        for light in [] if one.is_of_today else lit_as(places, one.said)[:1]:
            found[one.id] = Again(light, "small" if small else "fine")
    return found


@dataclass(frozen=True)
class UnderWay:
    """A picture under way, as a page has it. left : how long it takes yet, in words."""

    id: str
    name: str
    state: str
    percent: int
    left: str
    picture: str | None
    said: str


@dataclass(frozen=True)
class StudioJobs:
    """brief_id : whose they are. jobs : under way, and the last one if it failed. open_jobs : how
    many are not done; ended : the ids of those that ended.
    """

    brief_id: str
    jobs: Sequence[UnderWay]
    open_jobs: int
    ended: str


def studio_jobs(brief_id: str, jobs: Sequence[Job], ahead: Sequence[int]) -> StudioJobs:
    """What is under way for a brief. ahead : how many come before each."""
    still = [job for job in jobs if job.state in ("waiting", "working")]
    failed = [job for job in jobs[-1:] if job.state == "failed"]
    before = dict(zip((job.id for job in jobs), ahead, strict=True))
    return StudioJobs(
        brief_id,
        [_under_way(job, before[job.id]) for job in (*failed, *still)],
        len(still),
        " ".join(job.id for job in jobs if job not in still),
    )


def _under_way(job: Job, ahead: int) -> UnderWay:
    return UnderWay(
        id=job.id,
        name=job.name,
        state=job.state,
        percent=round(100 * job.done / job.of) if job.of else 0,
        left=_left(job, ahead),
        picture=f"/api/studio-jobs/{job.id}/picture?after={job.done}" if job.seen else None,
        said=job.said,
    )


def _left(job: Job, ahead: int) -> str:
    if job.state == "waiting":
        return "Next" if not ahead else f"Waits; {ahead} before it"
    if job.left_s is None:
        return "Setting up the room"
    if job.left_s < 50:
        return f"About {max(5, 5 * round(job.left_s / 5))} seconds yet"
    minutes = max(1, round(job.left_s / 60))
    return f"About {minutes} minute{'s' if minutes > 1 else ''} yet"
