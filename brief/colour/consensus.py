"""One colour out of several: a piece photographed more than once, an offcut before and after.

Uncertainties are CIEDE2000 within which the true colour lies 9 times in 10, as everywhere. Scatter
that shows only here is reckoned for 95 times in 100, to be on the careful side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.notation.adaptation import Lab
from brief.colour.spaces import Array, as_colours, as_one_colour
from brief.errors import ColourInputError, quoted

# Our working figures: the CIEDE2000 below which no colour of a piece of wood is taken to be known,
# as it differs by more from spot to spot; and times the uncertainty of the surest.
SUREST = 0.5
SET_ASIDE = 3.0
# Errors in three directions alike: 95 in 100 lie within 1.61 times their root mean square length,
# the root of the 95 % point of F(3, ∞).
_REACH = 1.614
# The same for a scatter that is itself found from n colours: the root of F(3, 3(n - 1)) at 95 %,
# standard tables. From 10 colours on the last is close enough, and too wide rather than narrow.
_REACH_FOUND = {2: 3.046, 3: 2.181, 4: 1.965, 5: 1.868, 6: 1.813, 7: 1.778, 8: 1.753, 9: 1.735}
_REACH_FOUND_MANY = 1.721


@dataclass(frozen=True)
class Combined:
    """One colour made of several.

    Attributes
    ----------
    lab : tuple of float
        CIELAB, D65 / 2°.
    uncertainty : float
        CIEDE2000.
    disagreement : float
        CIEDE2000 from `lab` to the farthest of the colours.
    odd_one : int
        Which colour that is, from 0.
    set_aside : tuple of int
        The colours too uncertain to count.
    unstated : float
        The scatter beyond what the stated uncertainties explain, as an uncertainty of each colour,
        CIEDE2000.
    """

    lab: Lab
    uncertainty: float
    disagreement: float
    odd_one: int
    set_aside: tuple[int, ...]
    unstated: float


@dataclass(frozen=True)
class LabShift:
    """What a treatment did to a colour: after less before, CIELAB, D65 / 2°, and CIEDE2000."""

    dL: float  # noqa: N815
    da: float
    db: float
    uncertainty: float
    delta_e: float

    def apply(self, lab: ArrayLike) -> Array:
        """The colours as the treatment would leave them.

        Parameters
        ----------
        lab : array_like, shape (..., 3)
            CIELAB, D65 / 2°, of the same species before the same treatment.

        Returns
        -------
        ndarray, shape (..., 3)
            L is kept to 0 to 100. The uncertainty of the shift adds to that of the colours (the
            root of
            the sum of squares).

        Raises
        ------
        ColourInputError
            If the shape is wrong or a value is not finite.
        """
        shifted: Array = as_colours(lab, "Lab") + np.array([self.dL, self.da, self.db])
        shifted[..., 0] = np.clip(shifted[..., 0], 0, 100)
        return shifted


def combine_colours(
    labs: ArrayLike,
    uncertainties: ArrayLike,
    weights: ArrayLike | None = None,
    *,
    shared: float = 0.0,
) -> Combined:
    """Combine measurements of one piece: surer ones count for more, disagreement widens the result.

    A colour more than 3 times as uncertain as the surest is set aside: it would count a tenth at
    most. Only where it lies beyond its own uncertainty does it widen the result to where the two
    agree. Where the rest scatter more than their uncertainties allow, a scatter that all have in
    common is found with which they just agree; it enters weights and result alike.

    Simulated with uncertainties alike, the truth lies within the result 9 times in 10 or more from
    3 colours on, whatever scatter went unstated, and 89 times in 100 with 2. One colour said to be
    2 or 3 times as sure as the others that is not brings this down to 8 in 10; one said to be
    surer yet is believed, as far as the others lie within their own uncertainty of it.

    Parameters
    ----------
    labs : array_like, shape (n, 3)
        CIELAB, D65 / 2°.
    uncertainties : array_like, shape (n,), 0 or more
        CIEDE2000, each on its own; below 0.5 they count as 0.5.
    weights : array_like, shape (n,), above 0, optional
        How much each is to count beyond its uncertainty, as the area it was measured on.
    shared : float, 0 or more
        CIEDE2000, an error that all have in common (same camera, same lamp) and that therefore
        does not average out. It is added last (the root of the sum of squares).

    Raises
    ------
    ColourInputError
        If there is no colour, the shapes disagree, or a number is not finite or below its limit.

    References
    ----------
    Paule and Mandel (1982), Consensus values and weighting factors, J. Res. Natl. Bur. Stand.
    87(5), 377-385, here for three coordinates, with CIEDE2000 for the distances, and for weights
    that need not be the inverse variances.

    Examples
    --------
    >>> combined = combine_colours([[40, 10, 18], [42, 11, 20]], [3, 3])
    >>> [round(value, 6) for value in combined.lab], round(combined.uncertainty, 1)
    ([41.0, 10.5, 19.0], 2.1)
    """
    colours = as_colours(labs, "labs")
    if colours.ndim != 2 or not len(colours):
        raise ColourInputError(f"labs must have shape (n, 3), n of 1 or more; got {colours.shape}")
    stated = _row(uncertainties, "uncertainties", len(colours), lowest=0.0)
    favour = _row(
        np.ones_like(stated) if weights is None else weights, "weights", len(colours), lowest=1e-9
    )
    own = np.maximum(stated, SUREST)
    kept = own <= SET_ASIDE * own.min()
    variances = (own[kept] / _REACH) ** 2
    common = _common(colours[kept], variances, favour[kept])
    mean, parts = _mean(colours[kept], variances + common, favour[kept])
    reach_found = _REACH_FOUND.get(int(kept.sum()), _REACH_FOUND_MANY)
    reach = _REACH**2 * variances + reach_found**2 * common
    away = delta_e_2000(colours, mean)
    beyond = (away**2 - own**2)[~kept].max(initial=0.0)
    L, a, b = mean.tolist()
    return Combined(
        lab=(L, a, b),
        uncertainty=math.hypot(
            math.sqrt(max(parts**2 @ reach, beyond)), _not_below_0(shared, "shared")
        ),
        disagreement=float(away.max()),
        odd_one=int(away.argmax()),
        set_aside=tuple(np.flatnonzero(~kept).tolist()),
        unstated=_REACH * math.sqrt(common),
    )


def lab_shift(
    before: ArrayLike, after: ArrayLike, u_before: float = 0.0, u_after: float = 0.0
) -> LabShift:
    """What a finish, or time, did to an offcut.

    Parameters
    ----------
    before, after : array_like, shape (3,)
        CIELAB, D65 / 2°.
    u_before, u_after : float, 0 or more
        CIEDE2000, assumed independent; two photographs under the same lamp with the same chart
        share part of theirs, so the shift is surer than this says.

    Returns
    -------
    LabShift

    Raises
    ------
    ColourInputError
        If a colour is not three finite numbers or an uncertainty is not a number of 0 or more.
    """
    old, new = as_one_colour(before, "before"), as_one_colour(after, "after")
    dL, da, db = (new - old).tolist()
    return LabShift(
        dL,
        da,
        db,
        uncertainty=math.hypot(
            _not_below_0(u_before, "u_before"), _not_below_0(u_after, "u_after")
        ),
        delta_e=float(delta_e_2000(old, new)),
    )


def _common(colours: Array, variances: Array, favour: Array) -> float:
    """The variance that, added to all, makes the colours scatter as much as is to be expected."""

    def surplus(common: float) -> float:
        total = variances + common
        mean, parts = _mean(colours, total, favour)
        found = parts @ delta_e_2000(colours, mean) ** 2
        return float(found - parts @ total + parts**2 @ total)

    if surplus(0.0) <= 0:
        return 0.0
    low, high = 0.0, 1.0
    while surplus(high) > 0:
        low, high = high, 4 * high
    while high - low > 1e-4 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if surplus(middle) > 0 else (low, middle)
    return high


def _mean(colours: Array, variances: Array, favour: Array) -> tuple[Array, Array]:
    """The weighted mean and the part of each colour in it; the parts add up to 1."""
    parts = favour / variances / (favour / variances).sum()
    return parts @ colours, parts


def _row(values: ArrayLike, name: str, count: int, lowest: float) -> Array:
    try:
        row = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as exc:
        raise ColourInputError(f"{name} must be numbers; got {quoted(values)}") from exc
    if row.shape != (count,):
        raise ColourInputError(f"{name} must be {count} numbers, one a colour; got {row.shape}")
    usable = np.isfinite(row) & (row >= lowest)
    if not usable.all():
        raise ColourInputError(f"{name} must be {lowest:g} or more; got {row[~usable][0]:g}")
    return row


def _not_below_0(value: float, name: str) -> float:
    if not (math.isfinite(value) and value >= 0):
        raise ColourInputError(f"{name} must be a number of 0 or more; got {quoted(value)}")
    return value
