"""The two sides of a pairing: all that its verdict rests on but the conditions."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brief.colour.spaces import Array
from brief.colour.viewing.conditions import State
from brief.photo import PAIR_SHARE
from brief.services.photos.remedies import bare_photographs
from brief.services.photos.timber_figure import TimberFigure, timber_figure
from brief.services.rack.piece_colours import as_shot
from brief.services.rack.surfaces import Surface, surfaces_of
from brief.store.desk import Desk
from brief.store.records import Material, Pairing


@dataclass(frozen=True)
class Sides:
    """The ground and the inlay as surfaces, and the figure of the ground, if it has a scale.

    share : how much of their doubt parts the two; what an unknown light did to both of them alike
    parts them by less.
    """

    ground: Surface
    inlay: Surface
    figure: TimberFigure | None
    share: float

    @property
    def surfaces(self) -> tuple[Surface, Surface]:
        """Both of them."""
        return self.ground, self.inlay

    @property
    def loose_figure(self) -> Array | None:
        """The figure of a ground without a scale: L, a, b less its own bare colour, and weight.

        Under another state that colour moves, and the figure with it. None where it is not known.
        """
        cells = self.ground.material.cells
        if cells is None:
            return None
        figure: Array = np.array(cells, dtype=float)
        figure[:, :3] -= self.ground.lab("bare")
        return figure

    def doubt(self, state: State) -> float:
        """CIEDE2000; of both colours together."""
        return self.share * math.hypot(self.ground.doubt(state), self.inlay.doubt(state))


@dataclass(frozen=True)
class Asked:
    """Two pieces that nobody has kept a question about: as far as a `Pairing` counts here."""

    id: str
    ground: Material
    inlay: Material

    @property
    def ground_id(self) -> str:
        """Of the ground."""
        return self.ground.id

    @property
    def inlay_id(self) -> str:
        """Of the inlay."""
        return self.inlay.id


def sides_of(desk: Desk, pairings: Sequence[Pairing | Asked]) -> dict[str, Sides]:
    """By the id of each pairing whose pieces have colours; every piece is looked up once."""
    judged = [one for one in pairings if one.ground.lab is not None and one.inlay.lab is not None]
    pieces = {piece.id: piece for one in judged for piece in (one.ground, one.inlay)}
    surfaces = surfaces_of(desk, list(pieces.values()))
    shots = bare_photographs(desk, list(pieces.values()))
    alike = {key: as_shot(piece, shots[key]) for key, piece in pieces.items()}
    figures = {key: timber_figure(desk, pieces[key]) for key in {one.ground_id for one in judged}}
    return {
        one.id: Sides(
            surfaces[one.ground_id],
            surfaces[one.inlay_id],
            figures[one.ground_id],
            PAIR_SHARE if alike[one.ground_id] and alike[one.inlay_id] else 1.0,
        )
        for one in judged
    }
