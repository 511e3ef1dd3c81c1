"""The nearest of many colours by CIEDE2000, exactly, without looking at most of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, as_colours, as_one_colour
from brief.errors import ColourInputError

S_L_MOST = 1.75
"""S_L never exceeds it: see `Nearest`."""
FIRST_LOOK = 100  # one in so many colours to either side


class Nearest:
    """Many colours, sorted once, to be asked for those nearest to one.

    Parameters
    ----------
    labs : array_like, shape (n, 3)
        CIELAB, D65 / 2°; L in [0, 100].

    Raises
    ------
    ColourInputError
        For another shape, a number that is not finite, or another L.

    Notes
    -----
    CIEDE2000 is at least |ΔL| / 1.75, so that colours further off in lightness than 1.75 times the
    distance of the best found need not be looked at. Proof: with k_L = k_C = k_H = 1,

        ΔE² = (ΔL'/S_L)² + c² + h² + R_T c h,   c = ΔC'/S_C, h = ΔH'/S_H.

    R_T = -sin(2Δθ) R_C, and R_C = 2 sqrt(C^7 / (C^7 + 25^7)) < 2, so |R_T| < 2, whence
    c² + h² + R_T c h >= c² + h² - 2|c||h| = (|c| - |h|)² >= 0 and ΔE >= |ΔL'| / S_L. And
    S_L = 1 + 0.015 x / sqrt(20 + x) with x = (L̄ - 50)², which grows with x (its derivative is
    0.015 (20 + x/2) / (20 + x)^1.5 > 0), so that for L̄ in [0, 100], x <= 2500, it is at most
    1 + 37.5 / sqrt(2520) = 1.7471.
    """

    def __init__(self, labs: ArrayLike) -> None:
        colours = as_colours(labs, "labs")
        if colours.ndim != 2:
            raise ColourInputError(f"labs must have shape (n, 3); got {colours.shape}")
        if colours.size and not (colours[:, 0].min() >= 0 and colours[:, 0].max() <= 100):
            raise ColourInputError("lightness must be 0 to 100 throughout")
        self._order = np.argsort(colours[:, 0], kind="stable")
        self._labs = colours[self._order]

    def to(self, lab: ArrayLike, count: int) -> tuple[NDArray[np.intp], Array]:
        """The places of the nearest colours and their CIEDE2000, nearest first.

        Parameters
        ----------
        lab : array_like, shape (3,)
            CIELAB, D65 / 2°; L in [0, 100].
        count : int, 1 or more
            How many are wanted.

        Returns
        -------
        places : ndarray of int, shape (k,)
            k is `count`, or fewer if there are not so many. Of equals, the one given first comes
            first.
        distances : ndarray, shape (k,)

        Raises
        ------
        ColourInputError
            If the colour or the count is not as above.
        """
        wanted = as_one_colour(lab, "lab")
        if not 0 <= wanted[0] <= 100:
            raise ColourInputError(f"lightness must be 0 to 100; got {wanted[0]:g}")
        if count < 1:
            raise ColourInputError(f"count must be 1 or more; got {count}")
        lightness = self._labs[:, 0]
        total = len(lightness)
        middle = int(np.searchsorted(lightness, wanted[0]))
        # Look near by first; how far the last of the best found there is says how far to look.
        reach = max(4 * count, total // FIRST_LOOK)
        low, high = max(0, middle - reach), min(total, middle + reach)
        found = delta_e_2000(self._labs[low:high], wanted)
        if low > 0 or high < total:
            worst = np.partition(found, count - 1)[count - 1]  # `reach` holds that many
            span = S_L_MOST * worst + 1e-9  # squares of less than that vanish
            below = min(low, int(np.searchsorted(lightness, wanted[0] - span, side="left")))
            above = max(high, int(np.searchsorted(lightness, wanted[0] + span, side="right")))
            found = np.concatenate(
                [
                    delta_e_2000(self._labs[below:low], wanted),
                    found,
                    delta_e_2000(self._labs[high:above], wanted),
                ]
            )
            low, high = below, above
        if len(found) > count:
            near = np.flatnonzero(found <= np.partition(found, count - 1)[count - 1])
        else:
            near = np.arange(len(found))
        places, found = self._order[low + near], found[near]
        nearest = np.lexsort((places, found))[:count]
        return places[nearest], found[nearest]
