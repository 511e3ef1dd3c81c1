"""A line to wait in, for what takes so much memory that few may do it at once."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from anyio import Lock, fail_after

from brief.errors import TooMany

MOST_WAITING = 64
LONGEST_WAIT_S = 30.0  # a busy machine hashes some thirty passphrases in it
AGAIN_S = 5


class WaitingLine:
    """One at a time, the others in the order they came, and of each client one.

    Waiting takes no thread. So a flood fills the line only from as many addresses as it holds, and
    whoever is in it comes up.
    """

    def __init__(self) -> None:
        self._turn = Lock()
        self._clients: set[str] = set()

    @asynccontextmanager
    async def turn(self, client: str) -> AsyncIterator[None]:
        """Wait for the turn of `client`, and hold it. Raises TooMany if that would be too long."""
        if client in self._clients or len(self._clients) >= MOST_WAITING:
            raise _too_many()
        self._clients.add(client)
        try:
            try:
                with fail_after(LONGEST_WAIT_S):
                    await self._turn.acquire()
            except TimeoutError as exc:
                raise _too_many() from exc
            try:
                yield
            finally:
                self._turn.release()
        finally:
            self._clients.discard(client)


def _too_many() -> TooMany:
    return TooMany(
        f"Others are signing in at this moment. Try again in {AGAIN_S} seconds.",
        retry_after_s=AGAIN_S,
    )
