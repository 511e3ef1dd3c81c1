"""What light a photograph was taken by: what cameras do to colours in it, and how far that is off.

A camera’s matrix is mostly made for daylight. Under lamps it leaves colours off in much the same
way, whichever camera and lamp it is; a grey card cannot show that, and whoever took the photograph
can say that it was a lamp.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from brief.colour.spaces import Array

PhotoLight = Literal["not known", "daylight", "lamp"]
NOT_KNOWN: PhotoLight = "not known"


@dataclass(frozen=True)
class Doubt:
    """CIEDE2000: the mean, and what 9 in 10 true colours lie within."""

    residual: float
    within: float


@dataclass(frozen=True)
class LightFigures:
    """What is known of photographs in a light.

    Attributes
    ----------
    strays : six floats
        Shares of linear RGB: of green and blue that belong in red, of red and blue in green, of red
        and green in blue; for colours brought to daylight by a card.
    nothing, card, two_cards : Doubt
        With nothing in the shot; by one card and by a grey and a white one, of which nothing is in
        doubt.
    """

    strays: tuple[float, float, float, float, float, float]
    nothing: Doubt
    card: Doubt
    two_cards: Doubt

    @property
    def matrix(self) -> Array:
        """Of linear RGB, shape (3, 3); greys stay as they are."""
        return grey_held(self.strays)


def grey_held(strays: tuple[float, ...] | Array) -> Array:
    """The matrix, shape (3, 3), with those six beside its diagonal and rows that sum to 1."""
    matrix = np.zeros((3, 3))
    matrix[~np.eye(3, dtype=bool)] = strays
    return matrix + np.diag(1 - matrix.sum(axis=1))


# By simulation with 14 measured cameras, with and without tone curves, the white balance automatic,
# white exposed to between half and nine tenths of the range (tests/photo/measured_cameras.py): in 3
# kinds of daylight, 10 lamps, or any of them. The strays leave the least worst of all settings; how
# they and the doubts were found, and that they hold on cameras, curves, lights and surfaces that no
# number was found by, is in tests/benchmarks/test_doubt_coverage.py. What a card leaves differs by
# what no card shows: the strength of the tone curve and, under lamps, whether the camera’s matrix
# was made for them.
LIGHTS: dict[PhotoLight, LightFigures] = {
    "not known": LightFigures(
        strays=(0.08, -0.07, -0.05, 0.06, -0.01, 0.0),
        nothing=Doubt(9.3, 16.0),
        card=Doubt(4.6, 8.2),
        two_cards=Doubt(4.0, 7.3),
    ),
    "daylight": LightFigures(
        strays=(0.07, 0.0, -0.03, 0.01, 0.0, 0.02),
        nothing=Doubt(8.5, 15.0),
        card=Doubt(3.9, 6.5),
        two_cards=Doubt(3.0, 5.9),
    ),
    "lamp": LightFigures(
        strays=(0.05, -0.08, -0.06, 0.08, -0.02, 0.0),
        nothing=Doubt(9.4, 16.2),
        card=Doubt(4.7, 8.3),
        two_cards=Doubt(4.1, 7.4),
    ),
}
