"""Where the workshops of a server lie that several makers share: each is a home of its own.

They are told apart by the place alone, so that whoever has one open cannot read another: a folder,
a schema of the database, a folder in the bucket.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.exc import DatabaseError

from brief.errors import StoreError
from brief.store.databases.copies import DATABASE
from brief.store.databases.postgres import WORKSHOP, PostgresDatabase
from brief.store.databases.soundness import reading
from brief.store.desk import Store
from brief.store.register import OWN, Workshop

FOLDER = "workshops"
ID_BYTES = 5
_ID = re.compile("[0-9a-f]{10}")


@dataclass(frozen=True)
class HomePlace:
    """Where a home lies. url : of its database, if that is on a server. bucket : the URL of that of
    its pictures, if they are in one.
    """

    home: Path
    url: str | None = None
    bucket: str | None = None

    def workshop(self, workshop_id: str) -> HomePlace:
        """That of one workshop, below the home that the server was started with."""
        return HomePlace(
            self.home / FOLDER / workshop_id,
            self.url and f"{self.url}{'&' if '?' in self.url else '?'}{WORKSHOP}={workshop_id}",
            self.bucket and f"{self.bucket.rstrip('/')}/{FOLDER}/{workshop_id}",
        )

    def workshops(self) -> tuple[str, ...]:
        """The ids of those that are there: each has a folder on the computer that it was opened on,
        and a schema where its database is on a server, which another computer may have made.

        Raises StoreError where the server does not answer.
        """
        folder = self.home / FOLDER
        names = (one.name for one in folder.iterdir() if one.is_dir()) if folder.is_dir() else ()
        found = {one for one in names if _ID.fullmatch(one)}
        return tuple(
            sorted(found.union(PostgresDatabase(self.url).workshops() if self.url else ()))
        )


def missing(there: Iterable[str], register: Path) -> tuple[str, ...]:
    """The ids of workshops that a register names and that are not there.

    there : the ids of those that are. register : a copy of the database of the home that the server
    was started with, as a file.
    """
    try:
        with reading(register) as connection:
            named = set(connection.scalars(select(Workshop.id).where(Workshop.id != OWN)))
    except DatabaseError:  # it is damaged, or older than registers are: that is told elsewhere
        return ()
    return tuple(sorted(named.difference(there)))


def new_workshop_id() -> str:
    """What a new workshop is called where it lies: 40 bits, in hexadecimal."""
    return secrets.token_hex(ID_BYTES)


def make_workshop(place: HomePlace) -> None:
    """Make an empty workshop there. Raises StoreError."""
    if place.url:
        PostgresDatabase(place.url).make_schema()
    Store(place.home, place.url, place.bucket).close()


def open_workshop(place: HomePlace, workshop_id: str) -> Store:
    """Open it. The secrets of links that are made in it begin with its id, so that they lead to it.

    Raises StoreError, too where it is gone: what was lost must not be taken for empty.
    """
    if place.url is None and not (place.home / DATABASE).is_file():
        raise StoreError(
            f"The workshop in {place.home} is not there any more. Put it back from a backup: brief "
            f"restore BACKUP/{FOLDER}/{place.home.name} --home {place.home}"
        )
    return Store(place.home, place.url, place.bucket, mark=f"{workshop_id}.")
