"""What a part looks like: its colour or its photograph, and its coat."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from brief.wood.gloss import Gloss

Substance = Literal["wood", "shell", "metal", "plain"]
Conductor = Literal["Ag", "Au", "Al", "Cr", "Cu"]


@dataclass(frozen=True)
class Look:
    """How one role looks.

    Attributes
    ----------
    lab : three floats
        CIELAB, D65 / 2°.
    substance : str
    gloss : str
    picture : bytes or None
        JPEG of the board, as its part shows it; None for one colour.
    conductor : str or None
        Metal by its published optical constants.
    """

    lab: tuple[float, float, float]
    substance: Substance = "plain"
    gloss: Gloss = "bare"
    picture: bytes | None = None
    conductor: Conductor | None = None


# What the maker has chosen no piece for. Colours and metals: common practice, no source.
USUAL: dict[str, Look] = {
    "frets": Look((78.0, 0.0, 4.0), "metal", conductor="Cr"),
    "strings": Look((75.0, 1.0, 6.0), "metal", conductor="Ag"),
    "posts": Look((75.0, 0.0, 2.0), "metal", conductor="Cr"),
    "tuners": Look((86.0, 0.5, 9.0), "plain", "satin"),
    "nut": Look((86.0, 0.5, 9.0), "plain", "satin"),
    "saddle": Look((86.0, 0.5, 9.0), "plain", "satin"),
    "pins": Look((20.0, 0.0, 0.0), "plain", "gloss"),
    "label": Look((80.0, 1.5, 13.0), "plain"),
    "inside": Look((68.0, 6.0, 24.0), "plain"),
}
OPEN = Look((72.0, 0.0, 3.0), "plain")
"""A part that no wood was chosen for: plain, so that nobody takes it for wood."""


def look_of(looks: Mapping[str, Look], role: str) -> Look:
    """The look of a role: the maker's, the usual, or plain."""
    return looks.get(role) or USUAL.get(role) or OPEN
