"""Processes of this computer, each begun anew (“spawn”).

Each is asked by a thread of its own, over a pipe of its own: so that it is known which piece ended
one, and whoever waits for it is told. The pool of concurrent.futures may wait for ever then, in
Python 3.11, where another was just being begun or pieces were still on their way to it.
"""

from __future__ import annotations

import contextlib
import pickle
import signal
import traceback
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

from brief.errors import CrewLost

LEAVE_S = 10.0  # so long one that is to end may take


class Processes:
    """A crew (see `Crew`) of so many processes, which are there while there is work."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._threads: ThreadPoolExecutor | None = None
        self._idle: deque[_Hand] = deque()

    def hands(self) -> int:
        """See `Crew.hands`."""
        return self._count

    def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
        """See `Crew.begin`."""
        if self._threads is None:
            self._threads = ThreadPoolExecutor(self._count, "crew")
        return self._threads.submit(self._done, does, given)

    def died(self, exc: BaseException | None) -> bool:
        """See `Crew.died`."""
        return isinstance(exc, _Ended)

    def rest(self) -> None:
        """See `Crew.rest`; the processes end."""
        if self._threads is not None:
            self._threads.shutdown(wait=True, cancel_futures=True)
            self._threads = None
        while self._idle:
            self._idle.pop().leave()

    def look(self) -> None:
        """See `Crew.look`; whoever asks is there, and so are they."""

    def lost(self) -> Exception:
        """See `Crew.lost`."""
        return CrewLost("The processes of this computer were stopped.")

    def _done(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Any:
        """What comes of a piece that an idle process does, or a new one."""
        try:
            hand = self._idle.pop()
        except IndexError:
            hand = _Hand()
        try:
            went_well, came = hand.does(does, given)
        except BaseException:  # what is left on its way, nobody knows
            hand.leave()
            raise
        self._idle.append(hand)
        if went_well:
            return came
        raise came


class _Ended(Exception):
    """A process ended while it was at a piece."""


class _Hand:
    """A process, and the way to it."""

    def __init__(self) -> None:
        context = get_context("spawn")
        self._way, there = context.Pipe()
        self._process = context.Process(target=_at_work, args=(there,), daemon=True)
        self._process.start()
        there.close()  # nobody else has it, so that the way ends with the process

    def does(self, does: Callable[..., Any], given: tuple[Any, ...]) -> tuple[bool, Any]:
        """Whether a piece went well, and what came of it or what it raised. Raises _Ended."""
        try:
            self._way.send((does, given))
            answer = self._way.recv_bytes()
        except (EOFError, OSError) as exc:
            raise _Ended("A process ended while it was at work.") from exc
        went_well, came = pickle.loads(answer)
        return went_well, came

    def leave(self) -> None:
        """End it."""
        self._way.close()
        self._process.join(LEAVE_S)
        if self._process.exitcode is None:
            self._process.kill()
            self._process.join()


def _at_work(way: Connection) -> None:
    """Do what comes over the way, until it ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started it ends it
    with contextlib.suppress(EOFError, OSError):  # nobody is there any more
        while True:
            does, given = way.recv()
            try:
                answer = pickle.dumps((True, does(*given)))
            except Exception as exc:  # of what it does, or of what cannot be sent back
                exc.add_note(traceback.format_exc())  # which a pipe does not carry
                answer = pickle.dumps((False, exc))
            way.send_bytes(answer)
