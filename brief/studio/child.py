"""A process of its own for the renderer, so that nothing it does can end whoever asked.

It is begun anew (“spawn”), has the lowest priority, and ends by itself when nobody listens.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Protocol

from brief.errors import BriefError, RenderFailed
from brief.studio.shot import Progress, Shot, in_words, taken

PATIENCE_S = 1.0  # for a process that was told to end
LOWEST = 19  # POSIX


@dataclass(frozen=True)
class Failure:
    """What a child could not do, in words."""

    said: str


class Sitting(Protocol):
    """Work on one picture."""

    def progress(self) -> Iterator[Progress]:
        """What there is after each pass. Raises RenderFailed if it ends before the last one."""

    def end(self) -> None:
        """Have it end at once; from any thread."""


@dataclass
class Child:
    """A child at work on one picture."""

    process: BaseProcess
    _told: Connection

    def progress(self) -> Iterator[Progress]:
        """See `Sitting.progress`."""
        last: Progress | None = None
        while last is None or last.done < last.of:
            try:
                told = self._told.recv()
            except (EOFError, OSError) as exc:
                raise RenderFailed(
                    "The renderer stopped before the picture was done. Try again; if it happens "
                    "again, the computer may be short of memory."
                ) from exc
            if isinstance(told, Failure):
                raise RenderFailed(told.said)
            last = told
            yield last

    def end(self) -> None:
        """See `Sitting.end`."""
        self.process.terminate()

    def tidy(self) -> None:
        """Wait for its end."""
        self.process.terminate()
        self.process.join(PATIENCE_S)
        if self.process.is_alive():
            self.process.kill()
            self.process.join(PATIENCE_S)
        self._told.close()


@contextmanager
def sitting(shot: Shot, threads: int) -> Iterator[Sitting]:
    """A child that takes the shot; it is gone when this is left."""
    context = multiprocessing.get_context("spawn")
    told, telling = context.Pipe(duplex=False)
    process = context.Process(target=_work, args=(telling, shot, threads), daemon=True)
    process.start()
    telling.close()  # ours; with the child's own closed too, `recv` learns that it has ended
    at_work = Child(process, told)
    try:
        yield at_work
    finally:
        at_work.tidy()


def _work(telling: Connection, shot: Shot, threads: int) -> None:
    # Ctrl-C in a terminal reaches both: whoever asked ends this one, without a traceback.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(LOWEST)
    try:
        for progress in _in_words(taken(shot, threads)):
            telling.send(progress)
    except BrokenPipeError:  # nobody listens: the program was stopped
        return
    except BriefError as exc:
        telling.send(Failure(str(exc)))
    finally:
        telling.close()


def _in_words(coming: Iterator[Progress]) -> Iterator[Progress]:
    with in_words():
        yield from coming
