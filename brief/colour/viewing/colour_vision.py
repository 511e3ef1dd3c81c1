"""Colours as eyes have them that tell fewer apart."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.spaces import Array, lab_through
from brief.errors import ColourInputError, quoted

EyesKind = Literal["normal", "protan", "deutan", "tritan"]
Matrix = tuple[tuple[float, ...], ...]

IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
WORDS: dict[EyesKind, str] = {
    "normal": "all colours",
    "protan": "red-blind eyes",
    "deutan": "green-blind eyes",
    "tritan": "blue-blind eyes",
}


@dataclass(frozen=True)
class Eyes:
    """Whose eyes: matrix is 3 x 3 on linear sRGB; severity is 0 (all colours) to 1."""

    kind: EyesKind
    severity: float
    words: str
    matrix: Matrix = field(repr=False)


NORMAL = Eyes("normal", 0.0, WORDS["normal"], IDENTITY)


def eyes(kind: str, severity: float = 1.0) -> Eyes:
    """Eyes of one kind.

    Parameters
    ----------
    kind : "normal", "protan", "deutan" or "tritan"
    severity : float, 0 to 1
        Between the published steps of 0.1 by straight interpolation; without effect on "normal".

    Returns
    -------
    Eyes

    Raises
    ------
    ColourInputError
        For another kind or severity.

    Notes
    -----
    The authors fitted protan and deutan eyes; for tritan ones they call the model an approximation.

    References
    ----------
    Machado, Oliveira and Fernandes (2009), A physiologically-based model for simulation of color
    vision deficiency, IEEE TVCG 15(6), 1291-1298.
    """
    if kind == "normal":
        return NORMAL
    if kind not in _table():
        raise ColourInputError.at("eyes", f"eyes are one of {', '.join(WORDS)}; got {quoted(kind)}")
    if not 0 <= severity <= 1:  # False for NaN, too
        raise ColourInputError.at("severity", f"severity must be 0 to 1; got {quoted(severity)}")
    steps = _table()[kind]
    below = min(int(severity * 10), 9)
    share = severity * 10 - below
    matrix = (1 - share) * steps[below] + share * steps[below + 1]
    known: EyesKind = kind  # type: ignore[assignment]  # it is in the table
    return Eyes(known, float(severity), WORDS[known], tuple(map(tuple, matrix.tolist())))


def through(labs: ArrayLike, seen_by: Eyes) -> Array:
    """The colours as these eyes have them; none is clipped.

    Parameters
    ----------
    labs : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    seen_by : Eyes

    Returns
    -------
    ndarray, shape (..., 3)

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.
    """
    return lab_through(labs, seen_by.matrix)


@cache
def _table() -> dict[str, Array]:
    """The matrices of each kind, shape (11, 3, 3)."""
    text = files("brief.colour.viewing").joinpath("eyes.json").read_text(encoding="utf-8")
    return {kind: np.array(steps) for kind, steps in json.loads(text).items()}
