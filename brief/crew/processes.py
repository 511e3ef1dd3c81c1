"""Processes of this computer, each begun anew (“spawn”)."""

from __future__ import annotations

import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait as ready
from multiprocessing.context import SpawnContext, SpawnProcess
from typing import Any

from brief.errors import CrewLost


class Processes:
    """A crew (see `Crew`) of so many processes, which are there while there is work."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._pool: ProcessPoolExecutor | None = None
        self._begun: list[SpawnProcess] = []

    def hands(self) -> int:
        """See `Crew.hands`."""
        return self._count

    def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
        """See `Crew.begin`."""
        if self._pool is None:
            self._begun = []
            context = _Noting(self._begun)
            self._pool = ProcessPoolExecutor(self._count, context, initializer=_begin)
        try:
            return self._pool.submit(does, *given)
        except (BrokenProcessPool, OSError) as exc:
            if isinstance(exc, OSError) and not self._one_ended():
                raise
            given_up: Future[Any] = Future()
            given_up.set_exception(BrokenProcessPool(str(exc)))
            return given_up

    def _one_ended(self) -> bool:
        """Whether one of them did, which none does while there is work. Python 3.11 ends the others
        then, but not one that is just being begun: that one fails (OSError), or is waited for for
        ever. Later ones have a lock there.
        """
        return bool(ready([one.sentinel for one in self._begun if one.pid], timeout=0))

    def died(self, exc: BaseException | None) -> bool:
        """See `Crew.died`."""
        return isinstance(exc, BrokenProcessPool)

    def rest(self) -> None:
        """See `Crew.rest`; the processes end."""
        if self._pool is not None:
            for one in self._begun if self._one_ended() else ():
                if one.pid:
                    one.kill()
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None

    def look(self) -> None:
        """See `Crew.look`; whoever asks is there, and so are they."""

    def lost(self) -> Exception:
        """See `Crew.lost`."""
        return CrewLost("The processes of this computer were stopped.")


class _Noting(SpawnContext):
    """Begins processes anew, and notes them down."""

    def __init__(self, begun: list[SpawnProcess]) -> None:
        super().__init__()
        self._begun = begun

    def Process(self, *given: Any, **more: Any) -> SpawnProcess:  # type: ignore[override]  # noqa: N802
        process = SpawnProcess(*given, **more)
        self._begun.append(process)
        return process


def _begin() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started it ends it
