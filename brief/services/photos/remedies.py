"""What could be put right about the photographs that a verdict rests on, and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.services.common.field_types import Id
from brief.services.photos.measured_area import By, where_view
from brief.store.desk import Desk
from brief.store.records import Material, Pairing, Photograph

RemedyForm = Literal["where", "size"]


class Mend(BaseModel):
    """Something about a photograph, and the form of the piece’s page that puts it right."""

    words: str = Field(examples=["Walnut: the whole photograph was measured."])
    action: str = Field(examples=["Outline the wood"])
    material_id: Id
    photograph_id: Id
    form: RemedyForm


def mends_of(desk: Desk, pairings: Sequence[Pairing]) -> dict[str, list[Mend]]:
    """By the pairing’s id: of both pieces the outlines, of the ground the size as well."""
    pieces = [piece for one in pairings for piece in (one.ground, one.inlay)]
    shots = bare_photographs(desk, pieces)
    return {
        one.id: [
            *_outlines(one.ground, shots[one.ground.id]),
            *_outlines(one.inlay, shots[one.inlay.id]),
            *_size(one.ground, shots[one.ground.id]),
        ]
        for one in pairings
    }


def bare_photographs(desk: Desk, pieces: Sequence[Material]) -> dict[str, list[Photograph]]:
    """Of each piece, by its id, the photographs that say what colour it has, oldest first."""
    found: dict[str, list[Photograph]] = {piece.id: [] for piece in pieces}
    asked = (
        select(Photograph)
        .where(
            Photograph.material_id.in_(found),
            Photograph.state == "bare",
            Photograph.binned_utc.is_(None),
        )
        .order_by(Photograph.id)
    )
    for shot in desk.session.scalars(asked):
        found[shot.material_id].append(shot)
    return found


def _outlines(piece: Material, shots: Sequence[Photograph]) -> Iterator[Mend]:
    """Which of its photographs nobody has outlined or looked over."""
    said: dict[By, tuple[str, str]] = {
        "whole": ("the whole photograph was measured.", "Outline the wood"),
        "proposed": ("measured inside an outline that was proposed.", "Check the outline"),
    }
    for shot in shots:
        by = where_view(shot.selections, shot.findings).by
        if by in said:
            words, action = said[by]
            yield _mend(piece, shot, "where", words, action)


def _size(piece: Material, shots: Sequence[Photograph]) -> Iterator[Mend]:
    """Its first photograph, if none has a known length in it."""
    if shots and all(shot.scale_mm is None for shot in shots):
        words = "the size of its photograph is not known."
        yield _mend(piece, shots[0], "size", words, "Mark a known length")


def _mend(piece: Material, shot: Photograph, form: RemedyForm, words: str, action: str) -> Mend:
    return Mend(
        words=f"{piece.label}: {words}",
        action=action,
        material_id=piece.id,
        photograph_id=shot.id,
        form=form,
    )
