"""What was found about an inlay in its ground, and how it stands among other pairs."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import DifferenceParts
from brief.colour.harmony import Harmony
from brief.colour.spaces import Array, as_numbers
from brief.colour.verdicts.pairs import READINGS, Reading
from brief.colour.viewing.colour_vision import NORMAL
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.observer import STANDS_OUT
from brief.errors import ColourInputError

FEW_RIVALS = 10  # with fewer, count them; with more, speak of "7 in 10"


@dataclass(frozen=True)
class Seen:
    """The findings about an inlay on a ground under one condition; differences in CIEDE2000.

    Attributes
    ----------
    difference, uncertainty
        Of the two colours as patches, inlay less ground.
    seen, seen_uncertainty
        What the eye keeps of the line against the wood beside it.
    found, needed
        The difference from which the inlay is found, and from which it stands out at a glance.
    grain, drowned_share
        As `PairFigures`; None where nothing is known of the figure.
    width_to_read
        The width, mm, from which on a line would read from here.
    distance_to_read
        The distance, m, out to which this line reads. Both None where nothing does, or nothing was
        asked.
    names_colour
        Whether the hue of the line can still be told; None without a width.
    """

    condition: Condition
    reading: Reading
    difference: DifferenceParts[float]
    uncertainty: float
    seen: float
    seen_uncertainty: float
    found: float
    needed: float
    grain: float | None
    drowned_share: float | None
    harmony: Harmony[float]
    width_to_read: float | None
    distance_to_read: float | None
    names_colour: bool | None

    @property
    def detectability(self) -> float:
        """d' of the line in this wood."""
        return STANDS_OUT * self.seen / self.needed

    @property
    def does(self) -> str:
        """What the line does, in words that follow "it"."""
        if self.reading != "doubtful":
            return self.reading
        if self.seen >= self.needed:
            return "probably reads"
        if self.seen < self.found:
            return "may sink"
        return f"is {'probably ' if self.unsure else ''}found only when looked for"

    @property
    def unsure(self) -> bool:
        """Whether another reading is within the uncertainty."""
        least, most = self.seen - self.seen_uncertainty, self.seen + self.seen_uncertainty
        return least < self.found <= most or least < self.needed <= most

    @property
    def rank(self) -> tuple[int, float]:
        """The lower, the worse."""
        return READINGS.index(self.reading), (self.seen - self.seen_uncertainty) / self.needed


@dataclass(frozen=True)
class PairVerdict:
    """The findings about an inlay on a ground, under one condition or more.

    Attributes
    ----------
    seen : tuple of Seen
        One for each condition; the first is the bench.
    better_than : float or None
        The share of the `rivals` other pairs with a lower harmony, 0 to 1; None without any.
    standing : str
        The same in words ("6 in 10", "2 of 5", "none of 40"); empty without any.
    sentence : str
        The whole verdict for a maker.
    """

    seen: tuple[Seen, ...]
    better_than: float | None
    rivals: int
    standing: str
    sentence: str

    @property
    def bench(self) -> Seen:
        """Under the first condition."""
        return self.seen[0]

    @property
    def headlines(self) -> tuple[Seen, ...]:
        """The bench, and where it does worst if it does worse there."""
        bench, worst = self.bench, self.worst
        return (bench,) if worst.reading == bench.reading else (bench, worst)

    def among(self, rival_harmonies: ArrayLike | None) -> PairVerdict:
        """The same, ranked among other pairs; `rival_harmonies` as for `judge_pair`."""
        rivals = _rivals(rival_harmonies)
        better_than = float((rivals < self.bench.harmony.total).mean()) if rivals.size else None
        standing = _standing(better_than, int(rivals.size))
        return replace(self, better_than=better_than, rivals=int(rivals.size), standing=standing)

    @property
    def worst(self) -> Seen:
        """Where it does worst, the first of equals.

        Other eyes count as the cause only where the line reads worse to them than to eyes that tell
        all colours apart.
        """
        return min(
            self.seen,
            key=lambda one: (one.rank[0], one.condition.eyes != NORMAL, one.rank[1]),
        )


def _rivals(values: ArrayLike | None) -> Array:
    rivals = as_numbers([] if values is None else values, "rival harmonies")
    if rivals.ndim != 1 or not np.isfinite(rivals).all():
        raise ColourInputError(
            f"rival harmonies must be one row of finite numbers; got shape {rivals.shape}"
        )
    return rivals


def _standing(better_than: float | None, rivals: int) -> str:
    if better_than is None:
        return ""
    if better_than in (0.0, 1.0):
        return f"{'none' if better_than == 0 else 'all'} of {rivals}"
    if rivals < FEW_RIVALS:
        return f"{round(better_than * rivals)} of {rivals}"
    return f"{min(max(round(better_than * 10), 1), 9)} in 10"
