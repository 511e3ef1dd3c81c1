"""Pieces of work handed out to whoever is at work, and what comes of each, as it comes.

A piece is a function of this program and plain data, so that it can be done anywhere and comes out
the same. One that ends the process it is done in ends alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from typing import Any, Protocol

LOOK_S = 2.0  # how soon it is noticed that nobody is at work any more


@dataclass(frozen=True)
class WorkPiece:
    """Work to be done. name : tells it from the others. given : to the function, in order."""

    name: str
    given: tuple[Any, ...]


@dataclass(frozen=True)
class WorkDone:
    """What came of a piece. died : the process that did it ended each time, and nothing came."""

    name: str
    result: Any = None
    died: bool = False


class Crew(Protocol):
    """Those who do the work."""

    def hands(self) -> int:
        """How many pieces are done at once, at least 1."""

    def begin(self, does: Callable[..., Any], given: tuple[Any, ...]) -> Future[Any]:
        """Have a piece done; `does` is found by its name wherever that is."""

    def died(self, exc: BaseException | None) -> bool:
        """Whether this came of a process that ended."""

    def rest(self) -> None:
        """Nothing is under way; what is begun next is begun anew."""

    def look(self) -> None:
        """Raises CrewLost if nobody is there any more."""

    def lost(self) -> Exception:
        """What to raise where a piece was given up by the crew itself."""


def results(
    crew: Crew, does: Callable[..., Any], pieces: Iterable[WorkPiece | WorkDone]
) -> Generator[WorkDone, None, None]:
    """What came of each piece, in the order they are done; what is done already is passed on.

    Pieces are asked for only as they are handed out. Whoever stops listening (`close`) cancels the
    rest; what is being done then is done to its end, and for nothing. What `does` raises is raised.

    Raises CrewLost if nobody is there to do it.
    """
    coming = iter(pieces)
    running: dict[Future[Any], WorkPiece] = {}
    # Under way when a process ended; whose fault that was, or a want of memory, nobody can tell.
    doubted: deque[WorkPiece] = deque()
    try:
        while True:
            while not doubted and len(running) < _most(crew) and (one := next(coming, None)):
                if isinstance(one, WorkDone):
                    yield one
                else:
                    running[crew.begin(does, one.given)] = one
            if not running and not doubted:
                return
            for future in _ended(crew, running):
                piece = running.pop(future)
                if crew.died(future.exception()):
                    doubted.append(piece)
                else:
                    yield WorkDone(piece.name, future.result())
            if doubted and not running:
                crew.rest()
                yield _by_itself(crew, does, doubted.popleft())
    finally:
        for future in running:
            future.cancel()
        crew.rest()


def _most(crew: Crew) -> int:
    """So many that none waits for the next, and nothing piles up."""
    hands = crew.hands()
    return hands + hands // 2 + 1


def _ended(crew: Crew, running: Iterable[Future[Any]]) -> set[Future[Any]]:
    """Some that have ended, as soon as there are any; none if none are running."""
    running = set(running)
    while running:
        done = wait(running, LOOK_S, FIRST_COMPLETED).done
        if any(future.cancelled() for future in done):
            raise crew.lost()
        if done:
            return done
        crew.look()
    return set()


def _by_itself(crew: Crew, does: Callable[..., Any], piece: WorkPiece) -> WorkDone:
    """What comes of a piece while nothing else is under way, so that what ends is its own doing."""
    future = crew.begin(does, piece.given)
    try:
        _ended(crew, [future])
    finally:
        future.cancel()
    if crew.died(future.exception()):
        crew.rest()
        return WorkDone(piece.name, died=True)
    return WorkDone(piece.name, future.result())
