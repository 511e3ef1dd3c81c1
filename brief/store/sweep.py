"""What a program that was killed leaves in the image folder, and setting it aside.

An original is written before the record that names it is saved; one whose record never was stays
behind. It is set aside, not deleted: if the database itself was put back by a day, the same
pictures are wanted again once the newer one returns.
"""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from sqlalchemy import Connection, MetaData, Text, cast, select

from brief.store.files import PART, SHA256, make_folder, sync_folder
from brief.store.images import ImageStore
from brief.store.records import Image

DAY_S = 24 * 3600.0
KEPT_DAYS = 30  # how long what was set aside is kept at least
_ANY_SHA256 = re.compile("[0-9a-f]{64}")


def sweep(images: ImageStore, connection: Connection, *, older_than_s: float = DAY_S) -> list[Path]:
    """Set aside the originals that nothing names, put back what is named again, and delete half
    written files that are older than a day. Returns what was set aside.

    To be called under the write lock, so that no upload is halfway. A database that names no
    picture at all sweeps nothing: it was lost, and the pictures are what is left.
    """
    listed = set(connection.scalars(select(Image.sha256)))
    for half in half_written(images.originals, images.renditions):
        half.unlink(missing_ok=True)
    for place in set_aside(images):
        if place.name in listed and not images.holds(place.name):
            _move(place, images.place(place.name))
    found = [place for place in unlisted(images, listed) if _age_s(place) > older_than_s]
    if not found or not listed:
        return []
    named = named_anywhere(connection)
    today = images.unnamed / datetime.now(UTC).date().isoformat()
    moved = [place for place in found if place.name not in named]
    for place in moved:
        _move(place, today / place.name)
    return moved


def unlisted(images: ImageStore, listed: set[str]) -> Iterator[Path]:
    """The originals that are not among those listed."""
    for place in _files(images.originals):
        if SHA256.fullmatch(place.name) and place.name not in listed:
            yield place


def named_anywhere(connection: Connection) -> set[str]:
    """Whatever could be the name of a picture in any text of any table: revisions hold whole
    briefs.
    """
    names: set[str] = set()
    there = MetaData()
    there.reflect(connection)  # tables that this program does not know may name one, too
    for table in there.tables.values():
        # As text: what is no JSON or no date any more can name one all the same.
        columns = [cast(column, Text) for column in table.columns]
        for row in connection.execute(select(*columns)):
            for value in row:
                if value:
                    names.update(_ANY_SHA256.findall(value))
    return names


def half_written(*folders: Path) -> Iterator[Path]:
    """Files that were not finished, and are too old to be about to be."""
    for folder in folders:
        for place in _files(folder):
            if place.name.startswith(PART) and _age_s(place) > DAY_S:
                yield place


def set_aside(images: ImageStore) -> list[Path]:
    """The originals that were set aside."""
    return [place for place in _files(images.unnamed) if SHA256.fullmatch(place.name)]


def empty_old(images: ImageStore) -> int:
    """Delete what was set aside more than KEPT_DAYS ago; how many files that were."""
    gone = 0
    oldest = datetime.now(UTC).date() - timedelta(days=KEPT_DAYS)
    for folder in images.unnamed.glob("????-??-??"):
        if date.fromisoformat(folder.name) < oldest:
            gone += len(list(folder.iterdir()))
            shutil.rmtree(folder)
    return gone


def _move(place: Path, target: Path) -> None:
    make_folder(target.parent)
    os.replace(place, target)
    sync_folder(target.parent)
    sync_folder(place.parent)


def _age_s(place: Path) -> float:
    try:
        return time.time() - place.stat().st_mtime
    except OSError:  # finished or gone since
        return 0.0


def _files(folder: Path) -> Iterator[Path]:
    for above, _, names in os.walk(folder):
        yield from (Path(above) / name for name in names)
