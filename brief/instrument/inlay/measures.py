"""What is measured on a design: the saw and the blank that it needs."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from brief.instrument.inlay.design import shape_of
from brief.instrument.inlay.polygons import Shapes
from brief.instrument.inlay.widths import Narrow, points_of, thinnest

EVEN = 0.99  # of how narrow it is all in all, beyond which a design is as thin everywhere
ROOM_MM = 2.0  # round a blank on each side, to hold it by: common practice, no source


@dataclass(frozen=True)
class Measured:
    """The measures of a design of a certain width. Lengths in millimetres.

    Attributes
    ----------
    edge_mm
        Of all edges, holes included, which is how far the saw goes.
    thinnest
        Its thinnest place, points aside.
    gap
        The narrowest place between two of its edges, None where there is none.
    points
        How many of its ends run out to a point.
    blank_mm
        The least rectangle that all of it can be sawn from, longer side first, with 2 mm of room
        round it.
    largest_mm
        The same of its largest piece.
    """

    width_mm: float
    height_mm: float
    area_mm2: float
    edge_mm: float
    pieces: int
    holes: int
    thinnest: Narrow
    gap: Narrow | None
    points: int
    blank_mm: tuple[float, float]
    largest_mm: tuple[float, float]


@lru_cache(maxsize=128)
def measured(path: str, width_mm: float) -> Measured:
    """The saw and the blank that a kept design of that width needs.

    Raises
    ------
    InputError
        For a width outside WIDTH_LIMITS_MM.
    """
    return measure(shape_of(path, width_mm))


def measure(shape: Shapes) -> Measured:
    """What a saw and a blank have to be like for a shape, in millimetres."""
    pieces = list(shape.geoms)
    left, top, right, bottom = shape.bounds
    inner, gap = thinnest(shape)
    narrow = min(right - left, bottom - top)
    if inner.width_mm > EVEN * narrow:  # a dot or a bar, whose chords come out a little short
        inner = replace(inner, width_mm=narrow)
    return Measured(
        width_mm=right - left,
        height_mm=bottom - top,
        area_mm2=shape.area,
        edge_mm=shape.length,
        pieces=len(pieces),
        holes=sum(len(piece.interiors) for piece in pieces),
        thinnest=inner,
        gap=gap,
        points=len(points_of(shape)),
        blank_mm=_blank(shape),
        largest_mm=max(map(_blank, pieces)),
    )


def _blank(shape: Shapes) -> tuple[float, float]:
    corners = np.array(shape.minimum_rotated_rectangle.exterior.coords)
    one, other = (math.dist(corners[i], corners[i + 1]) + 2 * ROOM_MM for i in (0, 1))
    return max(one, other), min(one, other)
