"""The studio at work: one picture at a time, the others in the order they were asked for."""

from __future__ import annotations

import logging
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Condition, Event, Thread

from ulid import ULID

from brief.errors import BriefError, InputError, NotFound, StoreError
from brief.services.studio.afar import Sit
from brief.services.studio.jobs import Job, Jobs
from brief.services.studio.room import Room
from brief.services.studio.shots import Planned, planned
from brief.services.studio.studio_pictures import studio_pictures
from brief.store.desk import Store
from brief.store.records import Brief
from brief.studio.child import Sitting, sitting
from brief.studio.renderer import missing
from brief.studio.shot import Shot

log = logging.getLogger(__name__)

BEAT_S = 0.5  # how soon it is noticed that one was cancelled in another process
WAIT_S = 1.0  # between two looks whether another process is through with its picture


class Studio:
    """What one process does for the studio of a home.

    store : says where it is now. sit : computes a picture. lacks : says why none can be, in words,
    and nothing where they can. room : held while one is computed; the studios of a process that
    serves several workshops share it, so that one is computed at a time.
    """

    def __init__(
        self,
        store: Callable[[], Store],
        sit: Sit = sitting,
        lacks: Callable[[], str] = missing,
        room: Room | None = None,
    ) -> None:
        self._store, self._sit, self.lacks = store, sit, lacks
        self._room = room or Room()
        self._threads = os.cpu_count() or 1
        self.jobs = Jobs(lambda: store().slate, str(ULID()))
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
        job = self.jobs.add(plan)
        self._wake()
        return job

    def get(self, job_id: str) -> Job:
        """The job. Raises NotFound."""
        return self._seen([self.jobs.get(job_id)])[0]

    def of(self, brief_id: str) -> list[Job]:
        """The jobs of a brief, the oldest first."""
        return self._seen(self.jobs.of(brief_id))

    def ahead(self, job: Job) -> int:
        """How many come before one that waits."""
        before = [one.id for one in self.jobs.open()]
        return before.index(job.id) if job.id in before else 0

    def cancel(self, job_id: str) -> Job:
        """Stop it, and keep nothing of it; one that failed is shown no more. One that is done, or
        is being kept, stays as it is.
        """
        if self.jobs.cancel(job_id):
            with self._changed:
                if self._sitting and self._sitting[0] == job_id:
                    self._sitting[1].end()
        return self.jobs.get(job_id)

    @property
    def is_idle(self) -> bool:
        """Whether nobody is at work here."""
        return self._worker is None or not self._worker.is_alive()

    def close(self) -> None:
        """Stop; for when the program ends. What is not done yet waits for another process, or for
        the program to be started again.
        """
        with self._changed:
            self._closed = True
            worker = self._worker
            if self._sitting:
                self._sitting[1].end()
            self._changed.notify_all()
        if worker is not None:
            worker.join(timeout=5)

    def _seen(self, jobs: list[Job]) -> list[Job]:
        """Whoever looks at one that is not done sees to it that somebody is at work: what was left
        by a process that was killed, or stopped, is taken up.
        """
        if any(one.state in ("waiting", "working") for one in jobs):
            self._wake()
        return jobs

    def _wake(self) -> None:
        if self.lacks():
            return
        with self._changed:
            # One that stumbled over what nobody thought of has left its name here.
            at_work = self._worker is not None and self._worker.is_alive()
            if not at_work and not self._closed:
                self._worker = Thread(target=self._work, name="studio", daemon=True)
                self._worker.start()
            self._changed.notify_all()

    def _work(self) -> None:
        """Until there is nothing left to do; then the thread ends."""
        while True:
            try:
                if self._took_one():
                    continue
                with self._changed:
                    if self._closed or not self.jobs.open():
                        self._worker = None
                        return
                    self._changed.wait(WAIT_S)
            except StoreError as exc:  # the next who looks has it begun again
                log.warning("The studio stopped: %s", exc)
                with self._changed:
                    self._worker = None
                return

    def _took_one(self) -> bool:
        """Take the next picture, if there is one and the room is free; whether there was."""
        if self._closed or not self._room.acquire(timeout=WAIT_S):
            return False
        try:
            job = self.jobs.take()
            if job is not None:
                self._attend(job)
            return job is not None
        finally:
            self._room.release()

    def _attend(self, job: Job) -> None:
        try:
            self._take(job)
        except BriefError as exc:
            self._fail(job, str(exc))
        except Exception:
            log.exception("a studio picture failed")
            self._fail(job, "Something went wrong in the studio. The terminal says what.")

    def _fail(self, job: Job, said: str) -> None:
        if self._closed:  # it was ended from here
            self.jobs.report(job.id, state="waiting", png=None, left_s=None, taken=0)
        else:
            self.jobs.report(job.id, state="failed", said=said, left_s=None)

    def _take(self, job: Job) -> None:
        plan, shot = self._planned(job)
        if shot is None:
            return
        began: float | None = None
        png = b""
        with self._sit(shot, self._threads) as at_work, self._watched(job, at_work):
            for progress in at_work.progress():
                now, left_s, png = time.monotonic(), None, progress.png
                if began is None:  # it was only glanced at
                    began = now
                else:
                    left_s = (now - began) / progress.done * (progress.of - progress.done)
                told = {"done": progress.done, "of": progress.of, "left_s": left_s, "png": png}
                if not self.jobs.report(job.id, **told):
                    return
        with self._store().desk(writing=True) as desk:
            record_id = studio_pictures.keep(desk, plan, png).id
        self.jobs.report(job.id, state="done", picture_id=record_id, left_s=0.0)

    def _planned(self, job: Job) -> tuple[Planned, Shot | None]:
        """What it is made of now that its turn has come; no shot if such a picture is there."""
        with self._store().desk() as desk:
            brief = desk.session.get(Brief, job.brief_id)
            if brief is None or brief.binned_utc is not None:
                raise NotFound("The brief was removed before its picture was done.")
            plan = planned(desk, brief, job.asked)
            before = studio_pictures.made_before(desk, plan)
            if before is None:
                return plan, plan.shot(desk)
            found = before.id
        self.jobs.report(job.id, state="done", picture_id=found, left_s=0.0, done=job.of)
        return plan, None

    @contextmanager
    def _watched(self, job: Job, at_work: Sitting) -> Iterator[None]:
        """Meanwhile tell the others that it is worked at, and end it where it was cancelled."""
        over = Event()

        def watch() -> None:
            while not over.wait(BEAT_S):
                try:
                    if not self.jobs.report(job.id):
                        at_work.end()
                        return
                except StoreError:  # a server that is started again; the work can go on
                    continue

        with self._changed:
            self._sitting = (job.id, at_work)
            if self._closed:
                at_work.end()
        watcher = Thread(target=watch, name="studio watch", daemon=True)
        watcher.start()
        try:
            yield
        finally:
            with self._changed:
                self._sitting = None
            over.set()
            watcher.join()
