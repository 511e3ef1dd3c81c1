"""The pictures that were asked for, in the order they were, on the slate of all processes.

One is worked at, in one process; whichever is free takes the next. One whose process was killed is
begun again by another.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

from sqlalchemy import Connection, and_, delete, func, insert, or_, select, update
from ulid import ULID

from brief.errors import Conflict, NotFound
from brief.services.studio.shots import SIZES, Planned, StudioAsked
from brief.store.databases.slate import JOBS, Slate

JobState = Literal["waiting", "working", "done", "cancelled", "failed"]
OPEN = ("waiting", "working")
MOST_WAITING = 12
MOST_KEPT = 8  # of those that ended, to be asked about
SILENT_S = 30.0  # its process is gone
FORGOTTEN_S = 24 * 3600.0  # nobody has asked for it since
MOST_BEGUN = 2  # a picture that ends its process each time ends there
STOPPED_TWICE = (
    "The program stopped twice while it worked at this picture. The computer may be short of "
    "memory; close something else, and ask for it again."
)
_SHOWN = [one for one in JOBS.c if one.name != "png"]


@dataclass(frozen=True)
class Job:
    """A picture that was asked for, as it stood when it was looked at.

    done, of : passes. left_s : about how long it takes yet; None while nobody can tell. seen :
    whether something of it can be looked at. picture_id : of the studio picture, once it is done.
    said : why it failed.
    """

    brief_id: str
    name: str
    asked: StudioAsked = field(default_factory=StudioAsked)
    id: str = field(default_factory=lambda: str(ULID()))
    state: JobState = "waiting"
    done: int = 0
    of: int = 0
    left_s: float | None = None
    seen: bool = False
    picture_id: str | None = None
    said: str = ""


class Jobs:
    """The jobs of one home. slate : says where they are now. worker : who this is."""

    def __init__(self, slate: Callable[[], Slate], worker: str) -> None:
        self._slate, self._worker = slate, worker

    def add(self, plan: Planned) -> Job:
        """Have it wait; one that is asked for twice waits once. Raises Conflict if too many do."""
        slate = self._slate()
        with slate.turn() as turn:
            now = slate.now_s(turn)
            turn.execute(delete(JOBS).where(JOBS.c.asked_s < now - FORGOTTEN_S))
            same = JOBS.c.made_of == plan.made_of, JOBS.c.brief_id == plan.brief_id
            found = _read(turn, *same, JOBS.c.state.in_(OPEN))
            if found:
                return found[0]
            if len(_read(turn, JOBS.c.state.in_(OPEN))) >= MOST_WAITING:
                raise Conflict(
                    f"{MOST_WAITING} pictures wait already. Cancel one, or wait until one is done."
                )
            job = Job(plan.brief_id, plan.name, plan.asked, of=SIZES[plan.asked.fineness][2])
            turn.execute(
                insert(JOBS).values(
                    id=job.id,
                    asked_s=now,
                    brief_id=job.brief_id,
                    made_of=plan.made_of,
                    name=job.name,
                    asked=json.dumps(asdict(job.asked)),
                    state=job.state,
                    done=0,
                    of=job.of,
                    said="",
                    beat_s=now,
                    taken=0,
                )
            )
            ended = [one.id for one in _read(turn, JOBS.c.state.not_in(OPEN))]
            turn.execute(delete(JOBS).where(JOBS.c.id.in_(ended[:-MOST_KEPT])))
            return job

    def get(self, job_id: str) -> Job:
        """The job. Raises NotFound."""
        with self._slate().turn() as turn:
            found = _read(turn, JOBS.c.id == job_id)
        if not found:
            raise NotFound("The studio has no such picture under way. Ask for it once more.")
        return found[0]

    def of(self, brief_id: str) -> list[Job]:
        """The jobs of a brief, the oldest first."""
        with self._slate().turn() as turn:
            return _read(turn, JOBS.c.brief_id == brief_id)

    def open(self) -> list[Job]:
        """All that have not ended, the oldest first."""
        with self._slate().turn() as turn:
            return _read(turn, JOBS.c.state.in_(OPEN))

    def png(self, job_id: str) -> bytes | None:
        """How it looks so far, if there is anything to see."""
        with self._slate().turn() as turn:
            found: bytes | None = turn.scalar(select(JOBS.c.png).where(JOBS.c.id == job_id))
        return found

    def cancel(self, job_id: str) -> bool:
        """Have it end, wherever it is worked at, or one that failed be shown no more; whether that
        was still to be had.
        """
        still = or_(and_(JOBS.c.state.in_(OPEN), JOBS.c.done < JOBS.c.of), JOBS.c.state == "failed")
        with self._slate().turn() as turn:
            asked = update(JOBS).where(JOBS.c.id == job_id, still)
            done = turn.execute(asked.values(state="cancelled", left_s=None, png=None))
        return bool(done.rowcount)

    def take(self) -> Job | None:
        """The next one, if there is one and none is worked at anywhere."""
        slate = self._slate()
        with slate.turn() as turn:
            now = slate.now_s(turn)
            lost = JOBS.c.state == "working", JOBS.c.beat_s < now - SILENT_S
            turn.execute(
                update(JOBS)
                .where(*lost, JOBS.c.taken >= MOST_BEGUN)
                .values(state="failed", said=STOPPED_TWICE, png=None)
            )
            turn.execute(update(JOBS).where(*lost).values(state="waiting"))
            still = _read(turn, JOBS.c.state.in_(OPEN))
            if not still or any(one.state == "working" for one in still):
                return None
            turn.execute(
                update(JOBS)
                .where(JOBS.c.id == still[0].id)
                .values(
                    state="working",
                    worker=self._worker,
                    beat_s=now,
                    taken=JOBS.c.taken + 1,
                    done=0,
                    left_s=None,
                    png=None,
                )
            )
            return still[0]

    def report(self, job_id: str, **told: Any) -> bool:
        """Say how far it is, and that somebody is there; whether it is to go on."""
        slate = self._slate()
        mine = JOBS.c.id == job_id, JOBS.c.worker == self._worker, JOBS.c.state == "working"
        with slate.turn() as turn:
            told["beat_s"] = slate.now_s(turn)
            return bool(turn.execute(update(JOBS).where(*mine).values(told)).rowcount)


def _read(turn: Connection, *where: Any) -> list[Job]:
    seen = func.coalesce(func.length(JOBS.c.png), 0).label("seen")
    rows = turn.execute(
        select(*_SHOWN, seen).where(*where).order_by(JOBS.c.asked_s, JOBS.c.id)
    ).mappings()
    return [
        Job(
            id=one["id"],
            brief_id=one["brief_id"],
            name=one["name"],
            asked=StudioAsked(**json.loads(one["asked"])),
            state=one["state"],
            done=one["done"],
            of=one["of"],
            left_s=one["left_s"],
            seen=one["seen"] > 0,
            picture_id=one["picture_id"],
            said=one["said"],
        )
        for one in rows
    ]
