"""A whole brief that came from elsewhere: whether it could have been made here, it and each of its
revisions.

It is laid out on a desk in memory, ahead of any that is written to: nobody waits for it, and
nothing has to be undone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import get_args

from sqlalchemy.exc import IntegrityError

from brief.errors import BriefError, ParcelError
from brief.services.drawing.drawing_files import SeenFrom, picture_file
from brief.services.drawing.in_numbers import drawing
from brief.services.drawing.plans import plan_of, sheets_of
from brief.services.history.parcels.parcel import REVISIONS, Parcel
from brief.services.history.parcels.unpacking import TWICE, lay_out
from brief.services.nouns import NOUNS
from brief.services.pairing.view_settings import Switches
from brief.services.spec.schemes import scheme_view
from brief.services.transfer.record_checks import UNSHOWABLE, vet
from brief.store.desk import Desk
from brief.store.memory import filled_tables, memory_desk
from brief.store.pictures.images import ImageStore
from brief.store.records import Brief

# What other records are shown with: looked at first, so that it is named and not they.
SHOWN_WITHIN = frozenset({"brief", "inlay", "question", "stop"})


class _Packed(ImageStore):
    """The pictures of a parcel, each unpacked into a folder when it is asked for."""

    def __init__(self, root: Path, picture: Callable[[str], bytes | None]) -> None:
        super().__init__(root)
        self._picture = picture

    def path(self, sha256: str) -> Path:
        data = self._picture(sha256)
        if data is not None:
            self.keep(data)
        return super().path(sha256)


def prove(parcel: Parcel, picture: Callable[[str], bytes | None]) -> None:
    """Raise ParcelError unless everything in a checked parcel can be shown.

    picture : gives the bytes of an image by its hash, or nothing if they are not in it.
    """
    revisions = [
        Parcel.model_validate(row["document"]) for row in parcel.records.get(REVISIONS, ())
    ]
    with TemporaryDirectory() as folder:
        images = _Packed(Path(folder), picture)
        for one in (parcel, *revisions):
            with _laid_out(one, images) as desk:
                _vet_all(desk, one)
                _draw(desk, desk.session.get_one(Brief, one.brief_id))


@contextmanager
def _laid_out(parcel: Parcel, images: ImageStore) -> Iterator[Desk]:
    try:
        tables = filled_tables(images, lambda desk: lay_out(desk, parcel))
    except IntegrityError as exc:
        raise ParcelError(TWICE) from exc
    with memory_desk(images, tables) as desk:
        yield desk


def _vet_all(desk: Desk, parcel: Parcel) -> None:
    """Raise ParcelError for what could not have been made here. A record may be shown with others,
    so that one at fault in a field of its own is named before one that only cannot be shown."""
    unshown: ParcelError | None = None
    for noun in sorted(NOUNS, key=lambda one: one.one not in SHOWN_WITHIN):
        for row in parcel.records.get(noun.many, ()):
            try:
                vet(desk, noun, noun.get(desk, row["id"], binned=True))
            except BriefError as exc:
                faults = getattr(exc, "faults", ())
                at = f" ({faults[0].pointer.strip('/')})" if faults else ""
                said = ParcelError(f"a {noun.one} in it could not have been made here{at}: {exc}")
                if faults:
                    raise said from exc
                unshown = unshown or said
    if unshown is not None:
        raise unshown


def _draw(desk: Desk, brief: Brief) -> None:
    """Raise ParcelError unless its instrument can be drawn from all sides and judged as a whole."""
    try:
        for view in get_args(SeenFrom):
            picture_file(desk, brief, view, "svg", Switches(), textures="linked")
        for name, _ in sheets_of(desk, brief):
            plan_of(desk, brief, name)
        drawing(desk, brief, {})
        scheme_view(desk, brief)
    except UNSHOWABLE as exc:
        raise ParcelError("the instrument in it cannot be drawn") from exc
