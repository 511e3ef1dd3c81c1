"""How large the thing photographed is: millimetres on the wood for percent of its picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.errors import InputError

Point = tuple[float, float]

# Our working figure, no source: how far a careful tap lies from where it was meant, as a share of
# the picture's longer side.
TAP_MISS = 0.003


@dataclass(frozen=True)
class Scale:
    """The size of what a picture shows, where the wood is and the camera looks square at it.

    Attributes
    ----------
    width_mm, height_mm : float, above 0
        Of the whole upright picture, measured on the wood.
    error : float, 0 up to below 1
        By what share a length may be off.

    Raises
    ------
    InputError
        On anything else.
    """

    width_mm: float
    height_mm: float
    error: float = 0.0

    def __post_init__(self) -> None:
        for name in ("width_mm", "height_mm"):
            _length(getattr(self, name), "what the picture shows")
        if not 0 <= self.error < 1:  # False for NaN, too
            raise _refused(
                f"the error of a scale must be a share, 0 up to below 1; got {self.error}"
            )

    @classmethod
    def from_taps(
        cls, first: Point, second: Point, length_mm: float, size: tuple[int, int]
    ) -> Scale:
        """From two points a known length apart: the ends of a rule, the edges of a board.

        Parameters
        ----------
        first, second : (float, float)
            Percent of the width and height of the upright picture, each 0 to 100.
        length_mm : float, above 0
            Between them on the wood.
        size : (int, int)
            Width and height of the picture in pixels; only their proportion counts.

        Returns
        -------
        Scale
            Its error is that of two taps, each 0.3 % of the picture's longer side off: the further
            apart, the better.

        Raises
        ------
        InputError
            On taps that are outside, one on the other, or nearer than they can be told apart, and
            on a
            length or size not above 0.
        """
        _length(length_mm, "the length between the taps")
        for point in (first, second):
            inside_picture(point, "scale", "a tap")
        width, height = _size(size)
        across = (second[0] - first[0]) / 100 * width
        down = (second[1] - first[1]) / 100 * height
        apart = math.hypot(across, down)
        miss = math.sqrt(2) * TAP_MISS * max(width, height)
        if apart <= 4 * miss:
            raise _refused(
                "the two taps lie too near to each other to measure by; "
                "choose two points at least a tenth of the picture apart"
            )
        mm = length_mm / apart
        return cls(width * mm, height * mm, miss / apart)

    @classmethod
    def from_width(cls, width_mm: float, size: tuple[int, int]) -> Scale:
        """From the width of the whole picture on the wood, mm, without error.

        Raises
        ------
        InputError
            If the width or the size is not above 0.
        """
        _length(width_mm, "what the picture shows")
        width, height = _size(size)
        return cls(width_mm, width_mm * height / width)

    def between(self, first: Point, second: Point) -> float:
        """Millimetres between two points in percent of the picture."""
        across = (second[0] - first[0]) / 100 * self.width_mm
        down = (second[1] - first[1]) / 100 * self.height_mm
        return math.hypot(across, down)


def inside_picture(point: Point, field: str, what: str) -> None:
    """Refuse a point outside the picture.

    Raises
    ------
    InputError
        Unless both numbers are 0 to 100.
    """
    if not all(0 <= value <= 100 for value in point):  # False for NaN, too
        raise InputError.at(
            field, f"{what} must lie inside the picture, 0 to 100 percent each way; got {point}"
        )


def _length(millimetres: float, what: str) -> None:
    if not 0 < millimetres < math.inf:
        raise _refused(f"{what} must be a length above 0 mm; got {millimetres}")


def _size(size: tuple[int, int]) -> tuple[int, int]:
    if min(size) < 1:
        raise _refused(f"the picture's size must be at least 1 pixel each way; got {size}")
    return size


def _refused(message: str) -> InputError:
    return InputError.at("scale", message)
