"""The desk of a request: one transaction, ended before the answer leaves."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from typing import Annotated

from fastapi import Depends, Request
from fastapi.concurrency import contextmanager_in_threadpool

from brief.api.house import VISIT, OpenWorkshop, Visit
from brief.services.studio.studio import Studio
from brief.store.desk import Desk, Store


def visit_of(request: Request) -> Visit | None:
    """At which workshop a request is, where several makers share the server."""
    visit: Visit | None = request.scope.get(VISIT)
    return visit


def _workshop_of(request: Request) -> OpenWorkshop:
    """Where a request is: at a workshop, or in the home that the server was started with."""
    visit, own = visit_of(request), request.app.state
    if visit and visit.workshop:
        return visit.workshop
    return OpenWorkshop(own.store, own.studio, own.writing_turn)


def store_of(request: Request) -> Store:
    """The store that a request is about."""
    return _workshop_of(request).store


def studio_of(request: Request) -> Studio:
    """The studio of that store."""
    return _workshop_of(request).studio


def _reading(request: Request) -> Iterator[Desk]:
    with store_of(request).desk() as desk:
        yield desk


async def _writing(request: Request) -> AsyncIterator[Desk]:
    """One writer at a time, in the order they came. Waiting takes no thread: with all threads
    waiting for SQLite's lock, none would be left for whoever holds it to end with."""
    at, visit = _workshop_of(request), visit_of(request)
    desk_of = at.store.desk(writing=True, by=visit.by if visit else "")
    async with at.turn, contextmanager_in_threadpool(desk_of) as desk:
        yield desk


# "function" ends the transaction before the answer is sent: what was answered is on disk.
ReadingDesk = Annotated[Desk, Depends(_reading, scope="function")]
WritingDesk = Annotated[Desk, Depends(_writing, scope="function")]
