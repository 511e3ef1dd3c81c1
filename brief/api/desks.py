"""The desk of a request: one transaction, ended before the answer leaves."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from typing import Annotated

from anyio import Lock
from fastapi import Depends, Request
from fastapi.concurrency import contextmanager_in_threadpool

from brief.api.house import VISIT, Visit
from brief.services.studio.studio import Studio
from brief.store.desk import Desk, Store


def visit_of(request: Request) -> Visit | None:
    """At which workshop a request is, where several makers share the server."""
    visit: Visit | None = request.scope.get(VISIT)
    return visit


def store_of(request: Request) -> Store:
    """The store that a request is about."""
    visit = visit_of(request)
    store: Store = visit.workshop.store if visit and visit.workshop else request.app.state.store
    return store


def studio_of(request: Request) -> Studio:
    """The studio of that store."""
    visit = visit_of(request)
    at = visit.workshop if visit else None
    studio: Studio = at.studio if at else request.app.state.studio
    return studio


def _reading(request: Request) -> Iterator[Desk]:
    with store_of(request).desk() as desk:
        yield desk


async def _writing(request: Request) -> AsyncIterator[Desk]:
    """One writer at a time, in the order they came. Waiting takes no thread: with all threads
    waiting for SQLite's lock, none would be left for whoever holds it to end with."""
    visit = visit_of(request)
    at = visit.workshop if visit else None
    turn: Lock = at.turn if at else request.app.state.writing_turn
    desk_of = store_of(request).desk(writing=True, by=visit.by if visit else "")
    async with turn, contextmanager_in_threadpool(desk_of) as desk:
        yield desk


# "function" ends the transaction before the answer is sent: what was answered is on disk.
ReadingDesk = Annotated[Desk, Depends(_reading, scope="function")]
WritingDesk = Annotated[Desk, Depends(_writing, scope="function")]
