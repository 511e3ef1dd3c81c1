"""The desk of a request: one transaction, ended before the answer leaves."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from fastapi import Depends, Request

from brief.store.desk import Desk, Store


def _store(request: Request) -> Store:
    store: Store = request.app.state.store
    return store


def _reading(request: Request) -> Iterator[Desk]:
    with _store(request).desk() as desk:
        yield desk


def _writing(request: Request) -> Iterator[Desk]:
    with _store(request).desk(writing=True) as desk:
        yield desk


# "function" ends the transaction before the answer is sent: what was answered is on disk.
ReadingDesk = Annotated[Desk, Depends(_reading, scope="function")]
WritingDesk = Annotated[Desk, Depends(_writing, scope="function")]
