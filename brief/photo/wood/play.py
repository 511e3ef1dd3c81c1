"""How the colour of shell or metal plays: between which colours its own photograph varies."""

from __future__ import annotations

import io
from functools import lru_cache

import numpy as np
from PIL import Image

from brief.colour import srgb_to_lab
from brief.colour.notation.notation import hex_of

CELLS = 24  # along each side: what plays is larger than a pixel's noise
ENDS = (4.0, 96.0)  # percentiles
MOVED = 2.0  # how much more a piece varies as it is turned than in one photograph; no source

Play = tuple[str, str, str, str]


@lru_cache(maxsize=64)  # of small renditions
def play_of(jpeg: bytes) -> Play:
    """Four colours that a piece shows in turn, by its photograph.

    Parameters
    ----------
    jpeg : bytes

    Returns
    -------
    tuple of four str
        "#rrggbb": the ends of the direction in CIELAB along which its parts vary most, the lighter
        first, and between them the ends of the direction square to it along which they vary next.

    References
    ----------
    Principal components: Pearson 1901, from memory.
    """
    with Image.open(io.BytesIO(jpeg)) as picture:
        small = picture.convert("RGB").resize((CELLS, CELLS), Image.Resampling.BOX)
    lab = srgb_to_lab(np.asarray(small, dtype=float).reshape(-1, 3) / 255)
    middle = lab.mean(axis=0)
    _, directions = np.linalg.eigh(np.cov((lab - middle).T))
    most, next_ = directions[:, 2], directions[:, 1]
    if most[0] < 0:
        most = -most
    ends = []
    for direction in (most, next_):
        low, high = np.percentile((lab - middle) @ direction, ENDS)
        ends.append([hex_of(middle + direction * end * MOVED) for end in (high, low)])
    (light, dark), (one, other) = ends
    return light, one, dark, other
