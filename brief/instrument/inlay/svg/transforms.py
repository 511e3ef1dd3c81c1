"""Where a shape lies: transforms as SVG writes them, and one after the other."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from brief.errors import InputError
from brief.instrument.inlay.svg.units import NUMBER

# What is taken is not given back (*+), so that a million blanks take no longer than they should.
_TRANSFORM = re.compile(r"\s*+,?+\s*+(matrix|translate|scale|rotate|skewX|skewY)\s*+\(([^()]*)\)")
Matrix = tuple[float, float, float, float, float, float]
"""a, b, c, d, e, f: x' = a x + c y + e, y' = b x + d y + f."""


def joined(outer: Matrix, inner: Matrix) -> Matrix:
    """The transform that does `inner` first, and then `outer`."""
    a, b, c, d, e, f = outer
    g, h, i, j, k, m = inner
    return (
        a * g + c * h,
        b * g + d * h,
        a * i + c * j,
        b * i + d * j,
        a * k + c * m + e,
        b * k + d * m + f,
    )


def transform(text: str) -> Matrix:
    """A list of transforms (CSS Transforms 1, 7).

    Raises
    ------
    InputError
        Where it cannot be read, or leads beyond a million units.
    """
    found: Matrix = (1, 0, 0, 1, 0, 0)
    at = 0
    while match := _TRANSFORM.match(text, at):
        at = match.end()
        numbers = [float(part) for part in re.findall(NUMBER, match[2])]
        found = joined(found, _one_transform(match[1], numbers))
    if text[at:].strip(" ,") not in ("", "none") or not all(abs(one) < 1e6 for one in found):
        raise InputError(
            f"The transform “{text[:40]}” cannot be read. Apply the transforms to the shapes in "
            "your drawing program, and save again."
        )
    return found


def _one_transform(name: str, numbers: Sequence[float]) -> Matrix:
    match name, [*numbers]:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x, *y] if len(y) < 2:
            return 1, 0, 0, 1, x, y[0] if y else 0.0
        case "scale", [x, *y] if len(y) < 2:
            return x, 0, 0, y[0] if y else x, 0, 0
        case "rotate", [turn, *about] if len(about) in (0, 2):
            cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
            x, y0 = about or (0.0, 0.0)
            return cos, sin, -sin, cos, x - cos * x + sin * y0, y0 - sin * x - cos * y0
        case "skewX", [turn]:
            return 1, 0, math.tan(math.radians(turn)), 1, 0, 0
        case "skewY", [turn]:
            return 1, math.tan(math.radians(turn)), 0, 1, 0, 0
    return math.nan, 0, 0, 0, 0, 0
