"""Does the inlay read on this timber, as both lie on the bench?

The rules are our own and the names below say them: an inlay reads when it lies at least three
times as far from the timber's colour as the grain itself does, and at least as far as two
different colours lie apart; it sinks when too much of the grain is its own colour. They weigh the
two colours alone, not how wide the inlay is, nor from how far it is seen.
"""

from __future__ import annotations

import math
from dataclasses import astuple, dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import DifferenceParts, delta_e_2000, delta_e_2000_parts
from brief.colour.harmony import Harmony, pair_harmony
from brief.colour.spaces import Array, as_colours, as_one_colour
from brief.colour.words import difference_words, figure, plus_minus, share_words
from brief.errors import ColourInputError

# CIEDE2000. "Two different colours" from 5 on is a scale made for the older 1976 difference;
# that it serves for CIEDE2000 is our rule.
DIFFERENT_COLOURS = 5.0
TIMES_THE_GRAIN = 3.0
DROWNED_DELTA_E = 5.0  # grain this close to the inlay hides it
DROWNED_SHARE = 0.25  # more of the grain than this and the inlay is lost in it
FEW_RIVALS = 10  # with fewer, count them; with more, speak of "7 in 10"

Reading = Literal["reads", "doubtful", "sinks"]


@dataclass(frozen=True)
class PairVerdict:
    """What was found about an inlay on a ground; differences in CIEDE2000, inlay less ground.

    uncertainty: of the two colours together. needed: the difference at which the inlay reads.
    grain: how far the ground's own cells lie from its colour, root mean square; drowned_share:
    the part of them within DROWNED_DELTA_E of the inlay; both None without cells. better_than:
    the share of the `rivals` other pairs with a lower harmony, None without any; standing: the
    same in words ("6 in 10", "2 of 5", "none of 40"), empty without any.
    """

    reading: Reading
    difference: DifferenceParts[float]
    uncertainty: float
    needed: float
    grain: float | None
    drowned_share: float | None
    harmony: Harmony[float]
    better_than: float | None
    rivals: int
    standing: str
    sentence: str


def judge_pair(
    ground: ArrayLike,
    inlay: ArrayLike,
    *,
    ground_cells: ArrayLike | None = None,
    uncertainty: float = 0.0,
    photographed: bool = False,
    rival_harmonies: ArrayLike | None = None,
) -> PairVerdict:
    """Judge an inlay against the timber it goes into, at the bench.

    Parameters
    ----------
    ground, inlay : array_like, shape (3,)
        CIELAB, D65 / 2°.
    ground_cells : array_like, shape (n, 4), optional
        L, a, b and weight: the pixels of the ground's own photograph folded into cells.
    uncertainty : float, at least 0
        CIEDE2000; of both colours together (the root of the sum of squares).
    photographed : bool, optional
        Whether it comes from a photograph, so that a doubt can say what would settle it.
    rival_harmonies : array_like, shape (n,), optional
        Harmony totals of the other pairs that the rack could make.

    Raises
    ------
    ColourInputError
        If a shape is wrong, a value not finite, a weight or the uncertainty below 0, or there
        is no cell with weight.

    Examples
    --------
    >>> judge_pair([36, 9, 9], [84, 4, 20], uncertainty=14).reading
    'reads'
    """
    ground_lab, inlay_lab = as_one_colour(ground, "ground"), as_one_colour(inlay, "inlay")
    if not (math.isfinite(uncertainty) and uncertainty >= 0):
        raise ColourInputError(f"uncertainty must be a number of 0 or more; got {uncertainty!r}")
    grain, drowned = None, None
    if ground_cells is not None:
        grain, drowned = _grain(_cells(ground_cells), ground_lab, inlay_lab)
    parts = delta_e_2000_parts(ground_lab, inlay_lab)
    difference = DifferenceParts(*map(float, astuple(parts)))
    harmony = Harmony(*map(float, astuple(pair_harmony(ground_lab, inlay_lab))))
    rivals = _rivals(rival_harmonies)
    better_than = float((rivals < harmony.total).mean()) if rivals.size else None
    needed = max(DIFFERENT_COLOURS, TIMES_THE_GRAIN * (grain or 0.0))
    reading = _reading(difference.total, uncertainty, needed, drowned)
    return PairVerdict(
        reading=reading,
        difference=difference,
        uncertainty=float(uncertainty),
        needed=needed,
        grain=grain,
        drowned_share=drowned,
        harmony=harmony,
        better_than=better_than,
        rivals=int(rivals.size),
        standing=_standing(better_than, int(rivals.size)),
        sentence=_bench_sentence(
            reading, difference, uncertainty, needed, drowned, _doubt(photographed)
        ),
    )


def _numbers(values: ArrayLike, name: str) -> Array:
    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as exc:
        raise ColourInputError(f"{name} must be numbers; got {values!r}") from exc


def _cells(values: ArrayLike) -> Array:
    cells = _numbers(values, "ground cells")
    if cells.ndim != 2 or cells.shape[1] != 4:
        raise ColourInputError(f"ground cells must have shape (n, 4); got {cells.shape}")
    as_colours(cells[:, :3], "ground cells")
    weights = cells[:, 3]
    if not (np.isfinite(weights).all() and (weights >= 0).all() and weights.sum() > 0):
        raise ColourInputError("ground cells must have weights of 0 or more, not all of them 0")
    return cells


def _grain(cells: Array, ground: Array, inlay: Array) -> tuple[float, float]:
    """How far the cells stray from the ground's colour, and the share close to the inlay."""
    labs, weights = cells[:, :3], cells[:, 3] / cells[:, 3].sum()
    astray = delta_e_2000(labs, ground)
    close = delta_e_2000(labs, inlay) <= DROWNED_DELTA_E
    return math.sqrt(float(weights @ astray**2)), min(float(weights @ close), 1.0)


def _rivals(values: ArrayLike | None) -> Array:
    rivals = _numbers([] if values is None else values, "rival harmonies")
    if rivals.ndim != 1 or not np.isfinite(rivals).all():
        raise ColourInputError(
            f"rival harmonies must be one row of finite numbers; got shape {rivals.shape}"
        )
    return rivals


def _reading(total: float, uncertainty: float, needed: float, drowned: float | None) -> Reading:
    if total + uncertainty < needed or (drowned or 0.0) > DROWNED_SHARE:
        return "sinks"
    return "reads" if total - uncertainty >= needed else "doubtful"


def _bench_sentence(
    reading: Reading,
    difference: DifferenceParts[float],
    uncertainty: float,
    needed: float,
    drowned: float | None,
    doubt: str,
) -> str:
    apart = f"{plus_minus(difference.total, uncertainty)} apart"
    if needed > DIFFERENT_COLOURS:
        needs = f"this grain asks for {figure(needed, uncertainty)}"
    else:
        needs = f"it takes {DIFFERENT_COLOURS:.0f} to be another colour"
    if drowned is None:
        close = "without a photograph of the timber the grain cannot be judged"
    else:
        close = f"{share_words(drowned)} of the grain comes near it"
    if reading == "reads":
        mostly = difference_words(difference)
        return f"Stands clear of the timber at the bench: {apart}, {mostly}; {close}."
    if reading == "doubtful":
        return (
            f"May sink into the timber: {apart} at the bench, and {needs}. {doubt} "
            f"{close[0].upper()}{close[1:]}."
        )
    if drowned is not None and drowned > DROWNED_SHARE:
        return (
            f"Sinks into the figure: {share_words(drowned)} of the timber's own grain is close "
            f"to this colour; the two are {apart}."
        )
    return f"Sinks into the timber at the bench: only {apart}, and {needs}; {close}."


def _doubt(photographed: bool) -> str:
    """Why a verdict is in doubt, which only the uncertainty can bring about, and the way out."""
    if photographed:
        return (
            "That is in doubt because colours from photographs may be off by that much; a typed "
            "reading or a reference in the shot can settle it."
        )
    return (
        "That is in doubt because readings may be off by that much; more readings of both can "
        "settle it."
    )


def _standing(better_than: float | None, rivals: int) -> str:
    if better_than is None:
        return ""
    if better_than in (0.0, 1.0):
        return f"{'none' if better_than == 0 else 'all'} of {rivals}"
    if rivals < FEW_RIVALS:
        return f"{round(better_than * rivals)} of {rivals}"
    return f"{min(max(round(better_than * 10), 1), 9)} in 10"
