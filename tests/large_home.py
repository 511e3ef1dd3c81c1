"""A home after years of use: the demo, and copies of what is in it until the rack has a thousand
pieces. Rows are copied, with what was measured; each has a small picture file of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from io import BytesIO
from itertools import cycle, islice
from pathlib import Path
from typing import Any, TypeVar

from PIL import Image as Pillow
from sqlalchemy import select

from brief.places import demo_folder
from brief.services.demo import load_demo
from brief.services.photos.pictures import keep_picture
from brief.store.desk import Desk, Store
from brief.store.records import (
    Comment,
    FinishTest,
    Material,
    Pairing,
    Palette,
    Photograph,
    Record,
    Reference,
    Swatch,
)

PIECES, PICTURES, COMMENTS, PAIRINGS, SWATCHES = 1000, 300, 1000, 100, 40
FILE_PX = (240, 180)
AUTHORS = ("Marsh warden", "A bell founder", "Hall steward", "The reed cutter", "Boat builder")

R = TypeVar("R", bound=Record)


def large_home(home: Path) -> str:
    """Make it in that folder; the id of its brief."""
    store = Store(home)
    brief_id = load_demo(store, demo_folder())
    with store.desk(writing=True) as desk:
        _pieces(desk)
        _pictures(desk, brief_id)
        _swatches(desk, brief_id)
        _pairings(desk, brief_id)
        _comments(desk, brief_id)
    store.close()
    return brief_id


def _all(desk: Desk, kind: type[R]) -> Sequence[R]:
    return desk.session.scalars(select(kind).order_by(kind.id)).all()


def _until(count: int, originals: Sequence[R]) -> Iterator[tuple[int, R]]:
    """As many as lack of so many, one after the other: which number it is, and what of."""
    return islice(enumerate(cycle(originals), 1), max(0, count - len(originals)))


def _copy(desk: Desk, record: R, **other: Any) -> R:
    own = {"id", "version", "created_utc", "changed_utc"}
    columns = {
        one.key: getattr(record, one.key) for one in record.__table__.columns if one.key not in own
    }
    made = type(record)(**{**columns, **other})
    desk.session.add(made)
    return made


def _pieces(desk: Desk) -> None:
    shots, tests = _all(desk, Photograph), _all(desk, FinishTest)
    for number, piece in _until(PIECES, _all(desk, Material)):
        made = _copy(
            desk,
            piece,
            label=f"{piece.label}, lot {number}",
            lab=_near(piece, number),
            image_sha256=_small(desk, piece.image_sha256, number),
        )
        desk.session.flush()
        copies = {
            shot.id: _copy(
                desk,
                shot,
                material_id=made.id,
                image_sha256=_small(desk, shot.image_sha256, number),
            )
            for shot in shots
            if shot.material_id == piece.id
        }
        desk.session.flush()
        for test in tests:
            if test.material_id == piece.id:
                ends = {
                    "before_id": copies[test.before_id].id,
                    "after_id": copies[test.after_id].id,
                }
                _copy(desk, test, material_id=made.id, **ends)


def _small(desk: Desk, sha256: str | None, number: int) -> str | None:
    """That picture made small, a file of its own by its number in a comment."""
    if sha256 is None:
        return None
    file = BytesIO()
    _thumbnail(desk.images.path(sha256)).save(file, "JPEG", comment=f"copy {number}")
    return keep_picture(desk, f"copy-{number}.jpg", file.getvalue()).sha256


@lru_cache
def _thumbnail(path: Path) -> Pillow.Image:
    with Pillow.open(path) as opened:
        small = opened.convert("RGB")
    small.thumbnail(FILE_PX)
    return small


def _near(piece: Material, number: int) -> list[float] | None:
    """A colour of its own, as no two boards have the same."""
    if piece.lab is None:
        return None
    lightness, a, b = piece.lab
    return [min(lightness + number % 7, 100.0), a + number % 5 - 2, b + number % 3 - 1]


def _pictures(desk: Desk, brief_id: str) -> None:
    references = [one for one in _all(desk, Reference) if one.image_sha256]
    palettes = {one.reference_id: one for one in _all(desk, Palette)}
    for number, reference in _until(PICTURES, references):
        made = _copy(
            desk,
            reference,
            title=f"{reference.title}, {number}",
            image_sha256=_small(desk, reference.image_sha256, number),
            motifs=list(reference.motifs),
        )
        desk.session.flush()
        if reference.id in palettes:
            _copy(desk, palettes[reference.id], reference_id=made.id)


def _swatches(desk: Desk, brief_id: str) -> None:
    for number, swatch in _until(SWATCHES, _all(desk, Swatch)):
        _copy(desk, swatch, name=f"{swatch.name} {number}")


def _pairings(desk: Desk, brief_id: str) -> None:
    rack = [one for one in _all(desk, Material) if one.lab is not None]
    for number, pairing in _until(PAIRINGS, _all(desk, Pairing)):
        ground, inlay = rack[(7 * number) % len(rack)], rack[(11 * number + 3) % len(rack)]
        made = _copy(
            desk,
            pairing,
            place=f"{pairing.place}, {number}",
            ground_id=ground.id,
            inlay_id=inlay.id,
            asked_ground_lab=ground.lab,
            asked_inlay_lab=inlay.lab,
        )
        made.ground, made.inlay = ground, inlay


def _comments(desk: Desk, brief_id: str) -> None:
    """Most are about something of their own, as after years; one in five is a reply, one in three
    settled."""
    about = [("reference", one) for one in _all(desk, Reference)] + [
        ("pairing", one) for one in _all(desk, Pairing)
    ]
    said: Comment | None = None
    for number in range(COMMENTS - len(_all(desk, Comment))):
        if number % 5 == 4 and said is not None:
            kind, thing_id, reply_to = said.about_kind, said.about_id, said.id
        else:
            (kind, thing), reply_to = about[number % len(about)], None
            thing_id = thing.id
        comment = Comment(
            brief_id=brief_id,
            about_kind=kind,
            about_id=thing_id,
            author=AUTHORS[number % len(AUTHORS)],
            text=f"{number}: from where I sat the reed line was lost against the dark of the rim, "
            "and the shell looked blue.",
            state="settled" if number % 3 == 0 else "open",
            outcome="Widened to 1.2 mm." if number % 3 == 0 else "",
            reply_to=reply_to,
            came_by="link" if number % 2 else "here",
        )
        desk.session.add(comment)
        if reply_to is None:
            desk.session.flush()
            said = comment
