"""Glosses as clear coats: how rough, and what of a colour measured through one is the wood's own.

How rough a finish is: common practice, no source. Gloss is rubbed out and polished, satin is
dulled, oil lies in the wood and follows its pores.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.colour.spaces import Array
from brief.wood.gloss import Gloss

IOR = 1.49  # of most varnishes, from memory: 1.48 to 1.52
LEAST_LEFT = 0.3  # of a measured reflectance: dark wood is never taken for nothing but its coat


@dataclass(frozen=True)
class Coat:
    """A clear coat.

    Attributes
    ----------
    roughness : float
        Of the Beckmann distribution, 0 to 1.
    own : float
        What a camera has of the coat's own reflection where the light comes from 45° and it looks
        straight on, as a share of a perfect diffuser.
    through : float
        What it has there of the reflectance below the coat.
    """

    roughness: float
    own: float
    through: float


# `own` and `through` were read from Mitsuba itself; a test of them reads it again.
COATS: dict[Gloss, Coat | None] = {
    "bare": None,
    "oil": Coat(0.30, 0.0313, 0.8575),
    "satin": Coat(0.18, 0.0029, 0.9330),
    "gloss": Coat(0.05, 0.0, 0.9792),
}


def below(reflectance: Array, gloss: Gloss) -> Array:
    """The reflectance below a coat through which this was measured, shape of `reflectance`.

    A photograph is taken to have been lit from the side, so that the coat's mirror image of the
    lamp was not in it; what a dull coat scatters was.
    """
    coat = COATS[gloss]
    if coat is None:
        return reflectance
    inner = np.maximum((reflectance - coat.own) / coat.through, LEAST_LEFT * reflectance)
    return np.clip(inner, 0.0, 1.0)
