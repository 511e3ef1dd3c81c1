"""Processes of this computer, each begun anew (“spawn”)."""

from __future__ import annotations

import signal
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import Any

from brief.errors import CrewLost


class Processes:
    """A crew (see `Crew`) of so many processes, which are there while there is work."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._pool: ProcessPoolExecutor | None = None

    def hands(self) -> int:
        """See `Crew.hands`."""
        return self._count

    def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
        """See `Crew.begin`."""
        if self._pool is None:
            self._pool = ProcessPoolExecutor(self._count, get_context("spawn"), initializer=_begin)
        try:
            return self._pool.submit(does, *given)
        except BrokenProcessPool as exc:  # one ended between two pieces
            given_up: Future[Any] = Future()
            given_up.set_exception(exc)
            return given_up

    def died(self, exc: BaseException | None) -> bool:
        """See `Crew.died`."""
        return isinstance(exc, BrokenProcessPool)

    def rest(self) -> None:
        """See `Crew.rest`; the processes end."""
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None

    def look(self) -> None:
        """See `Crew.look`; whoever asks is there, and so are they."""

    def lost(self) -> Exception:
        """See `Crew.lost`."""
        return CrewLost("The processes of this computer were stopped.")


def _begin() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started it ends it
