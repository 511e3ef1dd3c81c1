"""A revision opened to be looked at: the brief as it was, on a desk of its own, so that whatever
can be shown of a brief can be shown of it as it was frozen."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from brief.services.parcels import Parcel
from brief.services.revisions import document_of
from brief.services.travel import images, kinds, links, write_rows
from brief.store.desk import Desk
from brief.store.memory import filled_tables, memory_desk
from brief.store.records import Revision

KEPT = 8  # revisions, a megabyte or two each: a guest asks for many pictures of one
_kept: OrderedDict[str, bytes] = OrderedDict()  # a revision never changes
_lock = Lock()


@contextmanager
def as_frozen(desk: Desk, revision: Revision) -> Iterator[Desk]:
    """A desk on which the brief lies as that revision has it. Nothing done there is kept."""
    with _lock:
        tables = _kept.get(revision.id)
    if tables is None:
        tables = _tables(desk, document_of(revision))
        with _lock:
            _kept[revision.id] = tables
            while len(_kept) > KEPT:
                _kept.popitem(last=False)
    with memory_desk(desk.images, tables) as frozen:
        yield frozen


def _tables(desk: Desk, document: Parcel) -> bytes:
    def fill(frozen: Desk) -> None:
        write_rows(frozen, images(), document.images)
        for tables, those in ((kinds(), document.records), (links(), document.links)):
            for name, rows in those.items():
                write_rows(frozen, tables[name], rows)

    return filled_tables(desk.images, fill)
