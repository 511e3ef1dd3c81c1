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
    nothing, grey, white, two_cards : Doubt
        With nothing in the shot; by a grey card, a white one or paper, or both, of which nothing is
        in doubt.
    """

    strays: tuple[float, float, float, float, float, float]
    nothing: Doubt
    grey: Doubt
    white: Doubt
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
# kinds of daylight, 10 lamps, or any of them. The strays leave nearly the least error on average,
# and take off half of what cameras with a matrix for daylight err by in common: woods would be
# further off by more. How they and the doubts were found, and that they hold on cameras, curves,
# lights and surfaces that no number was found by, is in tests/benchmarks/test_doubt_coverage.py.
# What a card leaves differs by what no card shows: the strength of the tone curve and, under lamps,
# whether the camera’s matrix was made for them.
LIGHTS: dict[PhotoLight, LightFigures] = {
    "not known": LightFigures(
        strays=(0.04, -0.04, -0.03, 0.03, -0.01, 0.0),
        nothing=Doubt(9.3, 16.0),
        grey=Doubt(4.4, 8.4),
        white=Doubt(4.3, 7.9),
        two_cards=Doubt(3.9, 7.7),
    ),
    "daylight": LightFigures(
        strays=(0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
        nothing=Doubt(8.5, 15.0),
        grey=Doubt(3.7, 6.7),
        white=Doubt(3.4, 6.2),
        two_cards=Doubt(2.8, 5.6),
    ),
    "lamp": LightFigures(
        strays=(0.03, -0.04, -0.03, 0.04, -0.01, 0.0),
        nothing=Doubt(9.4, 16.2),
        grey=Doubt(4.7, 8.7),
        white=Doubt(4.6, 8.0),
        two_cards=Doubt(4.0, 7.8),
    ),
}
