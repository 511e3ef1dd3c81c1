"""A rectangle of a picture, in percent, so that it holds at every size of that picture."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from numbers import Real

import numpy as np

from brief.errors import InputError, quoted

_FRAGMENT = re.compile(r"(?:xywh=percent:)?" + r"\s*,\s*".join([r"(\d+(?:\.\d+)?)"] * 4))
_ROUNDING = 1e-6  # 33.3 + 66.7 may come out a hair above 100


@dataclass(frozen=True)
class Region:
    """A rectangle in percent of the upright picture: left edge, top edge, width, height.

    Written as W3C Media Fragments 1.0 (4.2.2) write it: ``xywh=percent:10,20,30,40``. Fractions of
    a percent are allowed, as Web Annotation selectors use them.

    Raises
    ------
    InputError
        Unless every edge is in 0 to 100, and width and height are above 0.
    """

    x: float
    y: float
    w: float
    h: float

    def __post_init__(self) -> None:
        for name in ("x", "y", "w", "h"):
            value = getattr(self, name)
            if not isinstance(value, Real) or not math.isfinite(value):
                raise InputError.at(
                    "region",
                    f"the region's {name} must be a number of percent; got {quoted(value)}",
                )
            object.__setattr__(self, name, float(value))
        if self.w <= 0 or self.h <= 0:
            raise InputError.at(
                "region",
                f"a region must be wider and higher than 0 percent; got {self.w:g} by {self.h:g}",
            )
        if min(self.x, self.y) < 0 or max(self.x + self.w, self.y + self.h) > 100 + _ROUNDING:
            raise InputError.at(
                "region",
                "a region must lie inside the picture, 0 to 100 percent each way; "
                f"got {self.x:g} to {self.x + self.w:g} across "
                f"and {self.y:g} to {self.y + self.h:g} down",
            )

    @classmethod
    def parse(cls, fragment: str) -> Region:
        """Read ``xywh=percent:10,20,30,40``, or the numbers alone.

        Raises
        ------
        InputError
            For anything else; it repeats the numbers alone, as whoever typed or drew them knows
            them.
        """
        match = _FRAGMENT.fullmatch(fragment.strip().removeprefix("#"))
        if match is None:
            raise InputError.at(
                "region",
                "a part of the picture is four numbers of percent: left, top, width, height, such "
                f"as 10, 20, 50, 40; got {quoted(_bare(fragment))}",
            )
        return cls(*(float(number) for number in match.groups()))

    def __str__(self) -> str:
        numbers = (
            np.format_float_positional(v, trim="-") for v in (self.x, self.y, self.w, self.h)
        )
        return "xywh=percent:" + ",".join(numbers)

    def overlaps(self, other: Region) -> bool:
        """Whether both cover some of the picture; edges may touch."""
        across = min(self.x + self.w, other.x + other.w) - max(self.x, other.x)
        down = min(self.y + self.h, other.y + other.h) - max(self.y, other.y)
        return min(across, down) > _ROUNDING

    def box(self, width: int, height: int) -> tuple[int, int, int, int]:
        """Left, top, right, bottom in pixels of a picture that size; at least 1 px each way."""
        left, right = _edges(self.x, self.w, width)
        top, bottom = _edges(self.y, self.h, height)
        return left, top, right, bottom


def _bare(fragment: str) -> str:
    """Without what a form puts before the numbers that were typed."""
    return fragment.strip().removeprefix("#").removeprefix("xywh=percent:")


def _edges(start: float, length: float, size: int) -> tuple[int, int]:
    first = min(round(start * size / 100), size - 1)
    return first, min(max(round((start + length) * size / 100), first + 1), size)
