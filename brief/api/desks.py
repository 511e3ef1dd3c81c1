"""The desk of a request: one transaction, ended before the answer leaves."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from typing import Annotated

from anyio import Lock
from fastapi import Depends, Request
from fastapi.concurrency import contextmanager_in_threadpool

from brief.store.desk import Desk, Store


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _reading(request: Request) -> Iterator[Desk]:
    with _store(request).desk() as desk:
        yield desk


async def _writing(request: Request) -> AsyncIterator[Desk]:
    """One writer at a time, in the order they came. Waiting takes no thread: with all threads
    waiting for SQLite's lock, none would be left for whoever holds it to end with."""
    turn: Lock = request.app.state.writing_turn
    async with turn, contextmanager_in_threadpool(_store(request).desk(writing=True)) as desk:
        yield desk


# "function" ends the transaction before the answer is sent: what was answered is on disk.
ReadingDesk = Annotated[Desk, Depends(_reading, scope="function")]
WritingDesk = Annotated[Desk, Depends(_writing, scope="function")]
