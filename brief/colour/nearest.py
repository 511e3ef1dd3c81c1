"""Which of many colours lie nearest to one, exactly, by CIEDE2000.

Lightness alone bounds the difference from below, so that of colours sorted by lightness only those
in a window around the target have to be looked at.

The bound. CIEDE2000² = l² + c² + h² + R_T c h, where l = ΔL*/S_L and c and h are the weighted
differences in chroma and hue. R_T = -R_C sin 2Δθ with 0 ≤ R_C < 2 and 0 ≤ 2Δθ ≤ 60°, hence
|R_T| < √3 < 2, and c² + h² + R_T c h ≥ c² + h² - 2|c h| = (|c| - |h|)² ≥ 0. What remains is
CIEDE2000 ≥ |ΔL*|/S_L. S_L = 1 + 0.015 x²/√(20 + x²), with x the mean lightness less 50, grows with
|x|, and a mean lies between the two it is the mean of: S_L is at most what it is at the lightness
farthest from 50 of all. For L* of 0 to 100 that is 1 + 37.5/√2520 < 1.75.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, as_colours, as_one_colour
from brief.errors import ColourInputError

STEP = 4096  # colours looked at first on either side of the target; then twice as many, and so on
ROUNDING = 1e-9  # what rounding may take off a difference


@dataclass(frozen=True)
class Neighbours:
    """The nearest colours: `indices` into what was searched, shape (count,), and their
    `distances`, CIEDE2000, nearest first; of equally near ones the first given comes first."""

    indices: NDArray[np.intp]
    distances: Array


class Nearest:
    """Colours sorted once, to be asked again and again.

    Parameters
    ----------
    labs : array_like, shape (n, 3), n of 1 or more
        CIELAB, D65 / 2°.

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.

    Examples
    --------
    >>> found = Nearest([[36, 9, 9], [84, 4, 20], [40, 9, 12]]).to([38, 9, 10], 2)
    >>> found.indices.tolist(), found.distances.round(1).tolist()
    ([0, 2], [1.9, 2.3])
    """

    def __init__(self, labs: ArrayLike) -> None:
        colours = as_colours(labs, "labs")
        if colours.ndim != 2 or not len(colours):
            raise ColourInputError(
                f"labs must have shape (n, 3), n of 1 or more; got {colours.shape}"
            )
        self._order = np.argsort(colours[:, 0], kind="stable")
        self._labs = colours[self._order]
        self._lightness = np.ascontiguousarray(self._labs[:, 0])

    def to(self, target: ArrayLike, count: int) -> Neighbours:
        """The `count` colours nearest to one colour of shape (3,), or all if there are fewer.

        Raises ColourInputError if the target is not three finite numbers or count is below 1.
        """
        goal = as_one_colour(target, "target")
        if count < 1:
            raise ColourInputError(f"count must be 1 or more; got {count!r}")
        lightness, total = self._lightness, len(self._lightness)
        wanted = min(count, total)
        middle = float(goal[0])
        steepest = _lightness_weight(max(abs(v - 50) for v in (middle, *lightness[[0, -1]])))
        start = int(np.searchsorted(lightness, middle))
        low, high = start, start  # looked at so far: [low, high)
        first, last = 0, total  # to be looked at
        places, distances = np.empty(0, dtype=np.intp), np.empty(0)
        step = max(STEP, wanted)
        while first < low or high < last:
            below, above = max(first, low - step), min(last, high + step)
            fresh = np.r_[below:low, high:above]
            low, high, step = below, above, 2 * step
            places = np.concatenate([places, fresh])
            distances = np.concatenate([distances, delta_e_2000(self._labs[fresh], goal)])
            if len(distances) < wanted:
                continue
            farthest = np.partition(distances, wanted - 1)[wanted - 1]
            close = distances <= farthest
            places, distances = places[close], distances[close]
            reach = steepest * (farthest + ROUNDING)
            first = int(np.searchsorted(lightness, middle - reach, "left"))
            last = int(np.searchsorted(lightness, middle + reach, "right"))
        indices = self._order[places]
        best = np.lexsort((indices, distances))[:wanted]
        return Neighbours(indices[best], distances[best])


def _lightness_weight(from_mid: float) -> float:
    """S_L of CIEDE2000 at a mean lightness that far from 50."""
    return 1 + 0.015 * from_mid**2 / math.sqrt(20 + from_mid**2)
