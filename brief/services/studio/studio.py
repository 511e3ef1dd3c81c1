"""The studio at work: one picture at a time, the others in the order they were asked for.

What is not done yet is in memory alone: a program that is stopped leaves nothing half done.
"""

from __future__ import annotations

import logging
import os
import time
from collections import OrderedDict
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from threading import Condition, Thread
from typing import Literal

from ulid import ULID

from brief.errors import BriefError, Conflict, InputError, NotFound
from brief.services.studio.shots import SIZES, Planned
from brief.services.studio.studio_pictures import studio_pictures
from brief.store.desk import Store
from brief.studio.child import Sitting, sitting
from brief.studio.renderer import missing
from brief.studio.shot import Shot

log = logging.getLogger(__name__)

JobState = Literal["waiting", "working", "done", "cancelled", "failed"]
OPEN = ("waiting", "working")
MOST_WAITING = 12
MOST_KEPT = 8  # of those that ended, to be asked about


@dataclass
class Job:
    """A picture that was asked for.

    done, of : passes. left_s : about how long it takes yet; None while nobody can tell. png : how
    it looks so far. picture_id : of the studio picture, once it is done. said : why it failed.
    """

    plan: Planned
    id: str = field(default_factory=lambda: str(ULID()))
    state: JobState = "waiting"
    done: int = 0
    of: int = 0
    left_s: float | None = None
    png: bytes | None = None
    picture_id: str | None = None
    said: str = ""


class Studio:
    """The jobs of one home.

    store : says where it is now. sit : computes a picture. lacks : says why none can be, in words,
    and nothing where they can.
    """

    def __init__(
        self,
        store: Callable[[], Store],
        sit: Callable[[Shot, int], AbstractContextManager[Sitting]] = sitting,
        lacks: Callable[[], str] = missing,
    ) -> None:
        self._store, self._sit, self.lacks = store, sit, lacks
        self._threads = os.cpu_count() or 1
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._changed = Condition()
        self._sitting: tuple[str, Sitting] | None = None
        self._worker: Thread | None = None
        self._closed = False

    def ask(self, plan: Planned) -> Job:
        """Have it taken; one that is asked for twice is taken once.

        Raises InputError where the renderer is not installed, Conflict if too many wait.
        """
        if said := self.lacks():
            raise InputError(said)
        with self._changed:
            for job in self._jobs.values():
                same = job.plan.made_of == plan.made_of and job.plan.brief_id == plan.brief_id
                if same and job.state in OPEN:
                    return job
            if sum(job.state in OPEN for job in self._jobs.values()) >= MOST_WAITING:
                raise Conflict(
                    f"{MOST_WAITING} pictures wait already. Cancel one, or wait until one is done."
                )
            job = Job(plan, of=SIZES[plan.asked.fineness][2])
            self._jobs[job.id] = job
            ended = [one.id for one in self._jobs.values() if one.state not in OPEN]
            for job_id in ended[:-MOST_KEPT]:
                del self._jobs[job_id]
            if self._worker is None:
                self._worker = Thread(target=self._work, name="studio", daemon=True)
                self._worker.start()
            self._changed.notify_all()
            return job

    def get(self, job_id: str) -> Job:
        """The job. Raises NotFound."""
        with self._changed:
            if job_id not in self._jobs:
                raise NotFound(
                    "The studio has no such picture under way. If the program was started again "
                    "since then, ask for it once more."
                )
            return self._jobs[job_id]

    def of(self, brief_id: str) -> list[Job]:
        """The jobs of a brief, the oldest first."""
        with self._changed:
            return [job for job in self._jobs.values() if job.plan.brief_id == brief_id]

    def ahead(self, job: Job) -> int:
        """How many come before one that waits."""
        with self._changed:
            before = list(self._jobs)[: list(self._jobs).index(job.id)]
            return sum(self._jobs[one].state in OPEN for one in before)

    def cancel(self, job_id: str) -> Job:
        """Stop it, and keep nothing of it; one that has ended, or is being kept, stays as it is."""
        job = self.get(job_id)
        with self._changed:
            if job.state in OPEN and job.done < job.of:
                job.state, job.left_s, job.png = "cancelled", None, None
                if self._sitting and self._sitting[0] == job.id:
                    self._sitting[1].end()
                self._changed.notify_all()
        return job

    def close(self) -> None:
        """Stop everything; for when the program ends."""
        with self._changed:
            self._closed = True
            for job in self._jobs.values():
                if job.state in OPEN:
                    job.state = "cancelled"
            if self._sitting:
                self._sitting[1].end()
            self._changed.notify_all()
        if self._worker is not None:
            self._worker.join(timeout=5)

    def _next(self) -> Job | None:
        with self._changed:
            while not self._closed:
                job = next((one for one in self._jobs.values() if one.state == "waiting"), None)
                if job is not None:
                    job.state = "working"
                    return job
                self._changed.wait()
        return None

    def _work(self) -> None:
        while (job := self._next()) is not None:
            try:
                self._take(job)
            except BriefError as exc:
                self._fail(job, str(exc))
            except Exception:
                log.exception("a studio picture failed")
                self._fail(job, "Something went wrong in the studio. The terminal says what.")

    def _fail(self, job: Job, said: str) -> None:
        with self._changed:
            if job.state == "working":
                job.state, job.said, job.left_s = "failed", said, None

    def _take(self, job: Job) -> None:
        shot = self._shot(job.plan)
        began: float | None = None
        with self._sit(shot, self._threads) as at_work:
            with self._changed:
                if job.state != "working":
                    return
                self._sitting = (job.id, at_work)
            try:
                for progress in at_work.progress():
                    now = time.monotonic()
                    with self._changed:
                        job.done, job.of, job.png = progress.done, progress.of, progress.png
                        if began is None:  # it was only glanced at
                            began = now
                        else:
                            job.left_s = (now - began) / job.done * (job.of - job.done)
            finally:
                with self._changed:
                    self._sitting = None
        self._keep(job)

    def _shot(self, plan: Planned) -> Shot:
        with self._store().desk() as desk:
            return plan.shot(desk)

    def _keep(self, job: Job) -> None:
        if job.state != "working" or job.png is None:
            return
        with self._store().desk(writing=True) as desk:
            record_id = studio_pictures.keep(desk, job.plan, job.png).id
        with self._changed:
            if job.state == "working":
                job.state, job.picture_id, job.left_s = "done", record_id, 0.0
