"""Which pieces of the rack are near a colour."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.colour.nearest import Nearest
from brief.colour.notation.notation import parse_colour
from brief.services.common.colour_view import ColourView
from brief.services.rack.harmonies import measured_labs
from brief.services.rack.piece_colours import material_colour, texture_of
from brief.store.desk import Desk
from brief.store.records import Material

NEAREST_MOST = 50


class NearView(BaseModel):
    """A piece of the rack near a colour."""

    id: str
    label: str
    colour: ColourView | None
    texture: str | None
    distance: float = Field(description="CIEDE2000")


def nearest_pieces(desk: Desk, colour: str, count: int) -> list[NearView]:
    """The pieces of the rack nearest to a colour, whatever they are.

    Raises InputError for a colour that cannot be read.
    """
    return nearest_to_each(desk, [parse_colour(colour)], count)[0]


def nearest_to_each(
    desk: Desk, labs: Iterable[Sequence[float]], count: int
) -> list[list[NearView]]:
    """The nearest pieces of the rack to each of several colours."""
    measured = measured_labs(desk)
    ids = list(measured)
    rack = Nearest(np.array([*measured.values()], dtype=float).reshape(-1, 3))
    found = [rack.to(lab, count) for lab in labs] if ids else [((), ()) for _ in labs]
    near = {ids[place] for places, _ in found for place in places}
    asked = select(Material).where(Material.id.in_(near))
    pieces = {one.id: one for one in desk.session.scalars(asked)}
    return [
        [
            _near(pieces[ids[place]], float(distance))
            for place, distance in zip(places, distances, strict=True)
        ]
        for places, distances in found
    ]


def _near(piece: Material, distance: float) -> NearView:
    return NearView(
        id=piece.id,
        label=piece.label,
        colour=material_colour(piece),
        texture=texture_of(piece),
        distance=distance,
    )
