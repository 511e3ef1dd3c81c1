"""A desk over tables in memory: for what is looked at as it once was, and never written."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from sqlalchemy import create_engine
from sqlalchemy.orm import Session
from sqlalchemy.pool import StaticPool

from brief.store.desk import Desk
from brief.store.pictures.images import ImageStore
from brief.store.records import Base


def filled_tables(images: ImageStore, fill: Callable[[Desk], None]) -> bytes:
    """All tables, with what `fill` puts on a desk in them, to be looked at by `memory_desk`."""
    connection = sqlite3.connect(":memory:")
    with _desk_over(connection, images) as desk:
        Base.metadata.create_all(desk.session.connection())
        fill(desk)
        desk.session.commit()
        return connection.serialize()


@contextmanager
def memory_desk(images: ImageStore, tables: bytes) -> Iterator[Desk]:
    """A desk over such tables, gone when it is left; its pictures are those of `images`."""
    connection = sqlite3.connect(":memory:", check_same_thread=False)
    connection.deserialize(tables)
    with _desk_over(connection, images) as desk:
        yield desk


@contextmanager
def _desk_over(connection: sqlite3.Connection, images: ImageStore) -> Iterator[Desk]:
    engine = create_engine("sqlite://", creator=lambda: connection, poolclass=StaticPool)
    try:
        with Session(engine, expire_on_commit=False) as session:
            yield Desk(session, images)
    finally:
        engine.dispose()
