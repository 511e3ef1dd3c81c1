"""A picture that a cluster computes: its passes are shared out, and put together here."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from functools import partial

from brief.crew.cluster import LIBRARIES, Cluster, cluster
from brief.crew.crew import WorkPiece, results
from brief.errors import RenderFailed
from brief.studio.child import Sitting, sitting
from brief.studio.shot import Films, Progress, Shot, put_together, share, shares_of

Sit = Callable[[Shot, int], AbstractContextManager[Sitting]]
THREADS = 1  # of each share; workers are told apart by their threads already
KILLED = (
    "Each worker of the cluster that began this picture ended. They may be short of memory; give "
    "them more, and ask for it again."
)


def sitter(scheduler: str) -> Sit:
    """Who computes pictures: that cluster, or where none is named, a process of this computer."""
    return partial(sitting_afar, scheduler) if scheduler else sitting


class Afar:
    """A `Sitting` shared out to the workers of a cluster."""

    def __init__(self, crew: Cluster, shot: Shot) -> None:
        self._crew, self._shot = crew, shot
        self.shares = self._in_order()

    def progress(self) -> Iterator[Progress]:
        """See `Sitting.progress`. Raises CrewLost if the cluster is gone, or this was ended."""
        return put_together(self.shares, self._shot.order.passes)

    def end(self) -> None:
        """See `Sitting.end`; what a worker is at it does to its end, for nothing."""
        self._crew.end()

    def _in_order(self) -> Generator[Films, None, None]:
        """All shares in their order, whichever is done first, so that the sum is the same."""
        numbers = range(shares_of(self._shot))
        pieces = (WorkPiece(str(number), (self._shot, number, THREADS)) for number in numbers)
        early: dict[str, Films] = {}
        with closing(results(self._crew, share, pieces)) as coming:
            for number in map(str, numbers):
                while number not in early:
                    done = next(coming)
                    if done.died:
                        raise RenderFailed(KILLED)
                    early[done.name] = done.result
                yield early.pop(number)


@contextmanager
def sitting_afar(scheduler: str, shot: Shot, _threads: int) -> Iterator[Sitting]:
    """The workers of that scheduler at the shot; errors as `cluster`."""
    with cluster(scheduler, (*LIBRARIES, "mitsuba")) as crew:
        at_work = Afar(crew, shot)
        with closing(at_work.shares):
            yield at_work
