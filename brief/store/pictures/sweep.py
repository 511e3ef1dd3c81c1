"""What a program that was killed leaves among the images, and setting it aside.

An original is written before the record that names it is saved; one whose record never was stays
behind. It is set aside, not deleted: if the database itself was put back by a day, the same
pictures are wanted again once the newer one returns.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, Text, cast, column, inspect, select, table

from brief.store.pictures.images import DAY_S, ImageStore, Original
from brief.store.records import Image

KEPT_DAYS = 30  # how long what was set aside is kept at least
_ANY_SHA256 = re.compile("[0-9a-f]{64}")


def needs_sweep(images: ImageStore, connection: Connection) -> bool:
    """Whether `sweep` may find anything to do: looked at while others write, since to list a
    bucket takes a while.
    """
    listed = _listed(connection)
    if any(images.half_written()) or listed.intersection(images.aside()):
        return True
    return any(one.age_s > DAY_S for one in unlisted(images, listed))


def sweep(images: ImageStore, connection: Connection, *, older_than_s: float = DAY_S) -> list[str]:
    """Set aside the originals that nothing names, put back what is named again, and delete half
    written files that are older than a day. Returns what was set aside, by its hashes.

    To be called under the write lock, so that no upload is halfway. A database that names no
    picture at all sweeps nothing: it was lost, and the pictures are what is left.
    """
    listed = _listed(connection)
    for half in images.half_written():
        half.unlink(missing_ok=True)
    for sha256 in listed.intersection(images.aside()):
        if not images.is_kept(sha256):
            images.put_back(sha256)
    found = [one for one in unlisted(images, listed) if one.age_s > older_than_s]
    if not found or not listed:
        return []
    named = named_anywhere(connection)
    moved = [one.sha256 for one in found if one.sha256 not in named]
    for sha256 in moved:
        images.set_aside(sha256)
    return moved


def unlisted(images: ImageStore, listed: set[str]) -> Iterator[Original]:
    """The originals that are not among those listed."""
    return (one for one in images.all_originals() if one.sha256 not in listed)


def named_anywhere(connection: Connection) -> set[str]:
    """Whatever could be the name of a picture in any text of any table: revisions hold whole
    briefs.
    """
    names: set[str] = set()
    # As they are there: tables that this program does not know may name one, too.
    for (_, name), columns in inspect(connection).get_multi_columns().items():
        # As text: what is no JSON or no date any more can name one all the same.
        as_text = [cast(column(one["name"]), Text) for one in columns]
        for row in connection.execute(select(*as_text).select_from(table(name))):
            for value in row:
                if value:
                    names.update(_ANY_SHA256.findall(value))
    return names


def empty_old(images: ImageStore) -> None:
    """Delete what was set aside more than KEPT_DAYS ago."""
    images.empty_old(datetime.now(UTC).date() - timedelta(days=KEPT_DAYS))


def _listed(connection: Connection) -> set[str]:
    return set(connection.scalars(select(Image.sha256)))
