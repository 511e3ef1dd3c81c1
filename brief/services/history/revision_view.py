"""A revision opened to be looked at: the brief as it was, on a desk of its own, so that whatever
can be shown of a brief can be shown of it as it was frozen."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from brief.services.history.parcels.unpacking import lay_out
from brief.services.history.revisions import document_of
from brief.store.desk import Desk
from brief.store.memory import filled_tables, memory_desk
from brief.store.records import Revision

KEPT = 8  # revisions, a megabyte or two each: a guest asks for many pictures of one
# A revision never changes. But a parcel brings one under the id that it had elsewhere, so that two
# workshops of one process can have the same id and not the same revision.
_kept: OrderedDict[tuple[str, str], bytes] = OrderedDict()
_lock = Lock()


@contextmanager
def as_frozen(desk: Desk, revision: Revision) -> Iterator[Desk]:
    """A desk on which the brief lies as that revision has it. Nothing done there is kept."""
    key = (desk.mark, revision.id)
    with _lock:
        tables = _kept.get(key)
    if tables is None:
        document = document_of(revision)
        tables = filled_tables(desk.images, lambda frozen: lay_out(frozen, document))
        with _lock:
            _kept[key] = tables
            while len(_kept) > KEPT:
                _kept.popitem(last=False)
    with memory_desk(desk.images, tables) as frozen:
        yield frozen
