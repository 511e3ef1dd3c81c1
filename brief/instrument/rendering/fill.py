"""A part's material as a drawing shows it, and how its photograph lies there."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from brief.errors import ColourInputError, quoted
from brief.instrument.rendering.placement import MATCHED, WHOLE, Laid, Laying, lay

Box = tuple[float, float, float, float]
"""x, y, width, height."""
Grain = Literal["up", "across"]
Shine = Literal["metal", "shell"]


@dataclass(frozen=True)
class Fill:
    """A part's material as it shows: a colour, and the photograph it was measured from.

    Attributes
    ----------
    colour : str
        "#rrggbb", seen where there is no photograph or while it loads.
    picture : str or None
        Address of the photograph.
    label : str
        The material's name, in the maker's words.
    picture_size : (int, int) or None
        Width and height in pixels; None means an upright photograph.
    size_mm : (float, float) or None
        Width and height of what the photograph shows, as it was taken; None where it has no scale,
        so that it is stretched to the part.
    grain_deg : float or None
        How its grain was measured to run, 0 up to 180 from the photograph's width; None where it
        has no one direction, so that it is taken to run along the longer side.
    laying : Laying or None
        How the maker has laid it; None leaves it to the part.
    jpeg : bytes or None
        The photograph itself, for a drawing that is to hold it instead of linking it.
    shine : str
        "metal" or "shell" where it is a photograph of one.
    play : tuple of str
        Four colours that it shows in turn under light and shadow; none: it is plain.

    Raises
    ------
    ColourInputError
        For any other notation of the colour.
    """

    colour: str
    picture: str | None
    label: str
    picture_size: tuple[int, int] | None = None
    size_mm: tuple[float, float] | None = None
    grain_deg: float | None = None
    laying: Laying | None = None
    jpeg: bytes | None = None
    shine: Shine | None = None
    play: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not re.fullmatch("#[0-9a-fA-F]{6}", self.colour):
            raise ColourInputError.at(
                "colour",
                f"a colour is written #rrggbb, such as #a0522d; got {quoted(self.colour)}.",
            )

    @property
    def lying(self) -> bool:
        """Whether the grain runs along the width of its picture rather than its height."""
        if self.grain_deg is not None:
            return abs(self.grain_deg - 90) > 45
        return self.picture_size is not None and self.picture_size[0] > self.picture_size[1]


@dataclass(frozen=True)
class Painted:
    """How a part was painted: where it lies on its drawing, mm, and as `SvgCanvas.paint` says."""

    box: Box
    grain: Grain = "up"
    matched: bool = False
    bent: bool = False


def laid_on(
    fill: Fill,
    part: tuple[float, float],
    *,
    grain: Grain = "up",
    matched: bool = False,
    bent: bool = False,
) -> Laid | None:
    """How its photograph lies on a part of that width and height, mm; `SvgCanvas.paint` says how.

    At its true size where it has one, else stretched. None if nothing is known of its size.
    """
    true_size = fill.size_mm is not None and not bent
    picture = fill.size_mm if true_size else fill.picture_size
    if picture is None:
        return None
    return lay(
        fill.laying or (MATCHED if matched else WHOLE),
        part,
        picture,
        sideways=fill.lying == (grain == "up"),
        true_size=true_size,
    )
