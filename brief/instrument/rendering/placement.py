"""How a photograph of a board is laid on a part, and how much of the part the board covers.

It is laid at its true size where that is known, opened about a joint or in one piece.

Two leaves sawn one after the other show nearly the same figure. Opened like a book they mirror
each other at the joint; slipped side by side they do not (common practice, no source).
Lengths are millimetres; what is not covered repeats, mirrored at the photograph's edges.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError, quoted
from brief.instrument.presets import Preset

Floats = NDArray[np.float64]
Match = Literal["book-left", "book-right", "slip", "one"]
LEAST_KEPT = 5.0
"""Percent of the photograph that must be left beside the joint: less is a smear of one line."""
SLACK_MM = 0.5
"""A photograph that lacks less than this counts as covering its part."""


@dataclass(frozen=True)
class Laying:
    """Which line of the photograph becomes the joint, and how it goes on to either side.

    Attributes
    ----------
    centre : float
        Percent across the photograph once it is turned, from its left, 0 to 100.
    match : str
        "book-left" keeps the part left of that line and mirrors it to the right, "book-right" the
        other way round; "slip" repeats the part right of it on both sides; "one" is one piece, with
        that line in the middle.
    turn : int or None
        Clockwise, 0, 90, 180 or 270 degrees; None lets its grain run with the part's.

    Raises
    ------
    InputError
        With the field at fault, for anything else, and for a line so near to an edge that under 5 %
        of the photograph is left to show.
    """

    centre: float = 50.0
    match: Match = "one"
    turn: int | None = None

    def __post_init__(self) -> None:
        if not 0 <= self.centre <= 100:  # False for NaN, too
            raise InputError.at(
                "centre", f"The joint lies 0 to 100 percent across; got {self.centre}."
            )
        if self.match not in get_args(Match):
            raise InputError.at(
                "match",
                f"A match is one of {', '.join(get_args(Match))}; got {quoted(self.match)}.",
            )
        if self.turn not in (None, 0, 90, 180, 270):
            raise InputError.at(
                "turn",
                f"A photograph is turned by 0, 90, 180 or 270 degrees; got {quoted(self.turn)}.",
            )
        if self.kept < LEAST_KEPT / 100:
            side = "left" if self.match == "book-left" else "right"
            raise InputError.at(
                "centre",
                f"The joint is so near to the photograph’s edge that nothing {side} of it is left "
                "to show: move it, or keep the other side.",
            )

    @classmethod
    def read(cls, stored: Mapping[str, Any]) -> Laying:
        """What `stored` says, as a record keeps it."""
        return cls(float(stored["centre"]), stored["match"], stored["turn"])

    @property
    def halves(self) -> bool:
        """Whether the part is of two halves."""
        return self.match != "one"

    @property
    def kept(self) -> float:
        """The share of the photograph that may be shown beside the joint, 0 to 1."""
        centre = self.centre / 100
        match self.match:
            case "book-left":
                return centre
            case "one":
                return 1.0
            case _:
                return 1 - centre


MATCHED = Laying(0.0, "book-right")
"""How two halves are opened unless the maker says otherwise: the left edge is the joint."""
WHOLE = Laying()


@dataclass(frozen=True)
class Laid:
    """Where one photograph is on a part, in the part's own box.

    Attributes
    ----------
    x, y
        Its left upper corner once turned.
    width, height
        Its size, turned.
    turn
        Clockwise, degrees.
    fills
        The stretch of the box that it fills by itself, from and to; the rest follows by `other`.
    other
        How that rest comes about.
    """

    x: float
    y: float
    width: float
    height: float
    turn: int
    fills: tuple[float, float]
    other: Literal["mirrored", "shifted", "nothing"]


def lay(
    laying: Laying,
    part: tuple[float, float],
    picture: tuple[float, float],
    *,
    sideways: bool,
    true_size: bool,
) -> Laid:
    """Lay a photograph on a part.

    Parameters
    ----------
    laying : Laying
    part : (float, float)
        Its width and height, mm.
    picture : (float, float)
        Width and height of what the photograph shows, as it was taken: in mm if `true_size`, else
        only their proportion counts and it is stretched so that it covers the part.
    sideways : bool
        Whether it has to be turned for its grain to run with the part's.
    true_size : bool

    Returns
    -------
    Laid
    """
    turn = laying.turn if laying.turn is not None else (90 if sideways else 0)
    width, height = picture if turn % 180 == 0 else picture[::-1]
    across = part[0] / 2 if laying.halves else part[0]
    if not true_size:
        scale = max(across / (width * laying.kept), part[1] / height)
        width, height = width * scale, height * scale
    left = part[0] / 2 - laying.centre / 100 * width
    middle = part[0] / 2
    fills = {
        "book-left": (0.0, middle),
        "book-right": (middle, part[0]),
        "slip": (middle, part[0]),
        "one": (0.0, part[0]),
    }[laying.match]
    other: Literal["mirrored", "shifted", "nothing"] = "mirrored"
    if not laying.match.startswith("book"):
        other = "shifted" if laying.halves else "nothing"
    return Laid(left, (part[1] - height) / 2, width, height, turn, fills, other)


def shares(laid: Laid, part_mm: float, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Where places of a part lie on the photograph that is laid there, in shares of it.

    Parameters
    ----------
    laid : Laid
    part_mm : float
        The part's width.
    x, y : array
        Places in the part's box, mm.

    Returns
    -------
    (array, array)
        Across and down the photograph once it is turned, from its left upper corner. Beyond 0 to 1
        it repeats, mirrored at its edges.
    """
    start, end = laid.fills
    beside = (x < start) | (x > end)
    if laid.other == "mirrored":
        x = np.where(beside, part_mm - x, x)
    elif laid.other == "shifted":
        x = np.where(beside, x + end - start, x)
    return (x - laid.x) / laid.width, (y - laid.y) / laid.height


def as_taken(turn: int, across: Floats, down: Floats) -> tuple[Floats, Floats]:
    """The same places on the photograph as it was taken, before it was turned clockwise."""
    match turn:
        case 90:
            return down, 1 - across
        case 180:
            return 1 - across, 1 - down
        case 270:
            return 1 - down, across
    return across, down


@dataclass(frozen=True)
class Cover:
    """How much of a part, or of each of its halves, a photograph at true size covers, mm.

    `across` and `along` are covered, of `of_across` and `of_along`.
    """

    across: float
    of_across: float
    along: float
    of_along: float
    halves: bool


def cover(laid: Laid, part: tuple[float, float]) -> Cover:
    """What lies under the photograph of what it has to fill by itself."""
    start, end = laid.fills
    across = max(0.0, min(end, laid.x + laid.width) - max(start, laid.x))
    along = min(part[1], laid.height)
    return Cover(across, end - start, along, part[1], laid.other != "nothing")


def plate_mm(preset: Preset, role: str) -> tuple[float, float] | None:
    """Width and height of a part on which a photograph may be laid; None of any other."""
    match role:
        case "top" | "back":
            return preset.width_mm, preset.body_mm
        case "sides":
            return max(preset.side_neck_mm, preset.side_tail_mm), preset.body_mm
        case "headplate":
            widest = max(half for _, half in preset.head.outline)
            return 2 * widest, max(distance for distance, _ in preset.head.crest)
    return None


def is_matched(role: str) -> bool:
    """Whether a part is of two halves unless the maker says otherwise."""
    return role in ("top", "back")
