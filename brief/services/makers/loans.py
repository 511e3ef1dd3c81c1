"""What one maker lends another: a piece of the rack, or all of it, to look at and to take down.

What is taken down is a copy of the piece, its photographs and what was measured of it with it. What
it cost, where it came from and what was noted of it stay with whoever lends it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import or_, select

from brief.errors import InputError, NotFound
from brief.services.common.colour_view import colour_view
from brief.services.common.formatting import size
from brief.services.history.row_codec import images, kinds, read_rows, write_rows
from brief.services.makers import register
from brief.services.rack.materials import free_label
from brief.store.desk import Desk
from brief.store.records import Image, Material, Photograph, now_utc
from brief.store.register import Loan

MOST = 500  # pieces of a rack that are shown at once
WITH_IT = ("photographs", "finish-tests")
OWN_BUSINESS = {"price": None, "public_name": ""}


@dataclass(frozen=True)
class LentPiece:
    """A piece that is lent, as the other sees it. hex : its colour, as a screen shows it."""

    id: str
    label: str
    species: str
    size: str
    hex: str
    picture: str


def lend(desk: Desk, number: int, to: str, workshop_id: str, piece: Material | None) -> Loan:
    """Let the maker called so see a piece of this workshop's rack, or all of it.

    Raises InputError if nobody else is called so, or has it already.
    """
    other = register.called(desk, to, but=number)
    material_id = piece.id if piece else None
    same = select(Loan.id).where(
        Loan.by == number, Loan.to == other.number, Loan.workshop_id == workshop_id
    )
    if desk.session.scalar(same.where(Loan.material_id.is_not_distinct_from(material_id))):
        raise InputError.at("to", f"{other.name} sees it already")
    record = Loan(
        workshop_id=workshop_id,
        by=number,
        to=other.number,
        material_id=material_id,
        label=_called(piece) if piece else "",
    )
    desk.session.add(record)
    desk.session.flush()
    return record


def loans_of(desk: Desk, number: int) -> Sequence[Loan]:
    """What a maker lends and what is lent to them, the oldest first."""
    asked = select(Loan).where(or_(Loan.by == number, Loan.to == number)).order_by(Loan.id)
    return desk.session.scalars(asked).all()


def take_back(desk: Desk, number: int, loan_id: str) -> Loan:
    """End a loan, by whoever lends or borrows. Raises NotFound if they have no such one."""
    found = desk.session.get(Loan, loan_id)
    if found is None or number not in (found.by, found.to):
        raise NotFound("There is no such loan, or it has ended.")
    desk.session.delete(found)
    return found


def lent_to(desk: Desk, number: int, loan_id: str) -> Loan:
    """A loan, for whom it was lent to. Raises NotFound where it is none of theirs, has ended, or
    whoever lends it works there no more."""
    found = desk.session.get(Loan, loan_id)
    if (
        found is None
        or found.to != number
        or not register.may_enter(desk, found.by, found.workshop_id)
    ):
        raise NotFound("There is no such loan, or it has ended.")
    return found


def pieces(theirs: Desk, loan: Loan) -> tuple[LentPiece, ...]:
    """What is lent, as it is now in the rack of whoever lends it."""
    return tuple(_shown(theirs, one) for one in _materials(theirs, loan))


def taken_down(mine: Desk, shown: Sequence[LentPiece]) -> frozenset[str]:
    """Of which of them a copy is on one's own rack, by id."""
    asked = select(Material.id).where(Material.id.in_([one.id for one in shown]))
    return frozenset(mine.session.scalars(asked.where(Material.binned_utc.is_(None))))


def picture(theirs: Desk, loan: Loan, sha256: str) -> Image:
    """A photograph of what is lent. Raises NotFound for any other."""
    ids = [one.id for one in _materials(theirs, loan)]
    found = theirs.session.scalars(
        select(Photograph.id).where(
            Photograph.image_sha256 == sha256,
            Photograph.material_id.in_(ids),
            Photograph.binned_utc.is_(None),
        )
    ).first()
    if found is None:
        raise NotFound("There is no such picture in what is lent.")
    return theirs.session.get_one(Image, sha256)


def take_down(theirs: Desk, mine: Desk, loan: Loan, material_id: str, lender: str) -> Material:
    """Have a copy of a lent piece on one's own rack.

    Raises NotFound if it is not lent, InputError if it is there already.
    """
    piece = next((one for one in _materials(theirs, loan) if one.id == material_id), None)
    if piece is None:
        raise NotFound("That piece is not lent, or no more.")
    there = mine.session.get(Material, piece.id)
    if there is not None:
        where = "in your offcuts bin" if there.binned_utc else "on your rack"
        raise InputError(f"This piece is {where} already: “{there.label}”.")
    rows = {"materials": read_rows(theirs, kinds()["materials"], "id", [piece.id])}
    for name in WITH_IT:
        rows[name] = [
            row
            for row in read_rows(theirs, kinds()[name], "material_id", [piece.id])
            if row["binned_utc"] is None
        ]
    _bring_pictures(theirs, mine, rows)
    (own,) = rows["materials"]
    came = {row["id"] for row in rows["photographs"]}
    rows["finish-tests"] = [
        row for row in rows["finish-tests"] if {row["before_id"], row["after_id"]} <= came
    ]
    own |= OWN_BUSINESS | {
        "label": free_label(mine, _called(piece)),
        "provenance": f"Lent by {lender}, taken down {now_utc():%Y-%m-%d}",
    }
    mine.let_references_wait()
    for name, those in rows.items():
        write_rows(mine, kinds()[name], those)
    return mine.session.get_one(Material, piece.id)


def _bring_pictures(theirs: Desk, mine: Desk, rows: dict[str, list[dict[str, Any]]]) -> None:
    hashes = {
        row[column]
        for name, those in rows.items()
        for row in those
        for column in kinds()[name].pictures
        if row[column]
    }
    for sha256 in sorted(hashes):
        mine.keep_image(theirs.images.path(sha256).read_bytes())
    known = [one for one in hashes if mine.session.get(Image, one)]
    needed = read_rows(theirs, images(), "sha256", sorted(hashes - {*known}))
    write_rows(mine, images(), needed)


def _called(piece: Material) -> str:
    """What others read; the maker's own label where nothing else was said."""
    return piece.public_name or piece.label


def _materials(theirs: Desk, loan: Loan) -> Sequence[Material]:
    asked = select(Material).where(Material.binned_utc.is_(None)).order_by(Material.label)
    if loan.material_id is not None:
        asked = asked.where(Material.id == loan.material_id)
    return theirs.session.scalars(asked.limit(MOST)).all()


def _shown(theirs: Desk, piece: Material) -> LentPiece:
    picture = theirs.session.scalars(
        select(Photograph.image_sha256)
        .where(Photograph.material_id == piece.id, Photograph.binned_utc.is_(None))
        .order_by(Photograph.id)
    ).first()
    return LentPiece(
        id=piece.id,
        label=_called(piece),
        species=piece.species,
        size=size(piece),
        hex=colour_view(piece.lab, 0.0).hex if piece.lab else "",
        picture=picture or "",
    )
