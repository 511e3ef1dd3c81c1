"""How long it may take, from three estimates of each stage.

Hours follow the PERT-beta distribution (Malcolm, Roseboom, Clark and Fazar 1959; Vose 2008 for its
shape): between the quick and the slow estimate, most often near the likely one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from brief.errors import InputError

Times = npt.NDArray[np.float64]
SEED = 20_270_515  # the same plan has the same chance each time it is looked at
RUNS = 10_000
QUICK = 0.1  # of the runs are quicker than “quick”, and as many slower than “slow”


@dataclass(frozen=True)
class Estimate:
    """Three estimates of the hours of a stage: if all goes well, as usual, if little does.

    Raises InputError unless 0 ≤ quick ≤ likely ≤ slow.
    """

    quick: float
    likely: float
    slow: float

    def __post_init__(self) -> None:
        if not 0 <= self.quick <= self.likely <= self.slow:
            raise InputError(
                "Hours go from quick over likely to slow, none below 0. Write 2, 3, 6."
            )

    @property
    def mean(self) -> float:
        """(a + 4 m + b) / 6."""
        return (self.quick + 4 * self.likely + self.slow) / 6

    @property
    def variance(self) -> float:
        """(μ − a) (b − μ) / 7: that of the distribution, not the rule of thumb ((b − a)/6)²."""
        return (self.mean - self.quick) * (self.slow - self.mean) / 7

    def less(self, hours: float) -> Estimate:
        """What is left once so many hours were spent on it."""
        return Estimate(*(max(one - hours, 0.0) for one in (self.quick, self.likely, self.slow)))


@dataclass(frozen=True)
class Placed:
    """A stage in the order in which it is worked at.

    after : places of earlier ones, each with the days from its end until this can begin.
    begins : the time before which it cannot. wait : days behind it until it is over.
    """

    hours: Estimate
    after: tuple[tuple[int, float], ...] = ()
    begins: float = 0.0
    wait: float = 0.0


class Clock(Protocol):
    """What says how many hours of work have passed by a time, and the other way round."""

    def hours_until(self, time: Any) -> Any:
        """The hours that have passed by then."""

    def time_after(self, hours: Any) -> Any:
        """The earliest time at which so many have passed."""


class Unbroken:
    """Work that goes on without nights and Sundays, in whatever unit."""

    def hours_until(self, time: Any) -> Any:
        """The same."""
        return time

    def time_after(self, hours: Any) -> Any:
        """The same."""
        return hours


def drawn(estimates: Sequence[Estimate], runs: int = RUNS, seed: int = SEED) -> Times:
    """Hours of each stage in each run, (stages, runs); the same for the same seed."""
    low, likely, high = (
        np.array([getattr(one, name) for one in estimates], dtype=np.float64)[:, None]
        for name in ("quick", "likely", "slow")
    )
    span = high - low
    wide = np.where(span > 0, span, 1.0)  # of a certain one any shape will do
    alpha, beta = 1 + 4 * (likely - low) / wide, 1 + 4 * (high - likely) / wide
    generator = np.random.default_rng(seed)
    return np.asarray(low + span * generator.beta(alpha, beta, size=(len(estimates), runs)))


@lru_cache(maxsize=32)
def total_hours(estimates: tuple[Estimate, ...]) -> tuple[float, float, float]:
    """The hours of all of them together: what one run in ten stays below, the mean, what one in
    ten exceeds. Each is taken to vary by itself.
    """
    hours = drawn(estimates).sum(axis=0)
    quick, slow = np.quantile(hours, (QUICK, 1 - QUICK))
    return float(quick), sum(one.mean for one in estimates), float(slow)


def over(stages: Sequence[Placed], hours: Times, clock: Clock) -> Times:
    """When all stages and their waits are over, in each run of `hours` (stages, runs)."""
    # Counted in hours worked, so that only a wait has to ask the calendar.
    ends = np.empty_like(hours)
    idle: dict[int, Times] = {}  # when stages without hours end, which may be on a day off
    waited: dict[tuple[int, float], Times] = {}
    last = np.zeros(hours.shape[1])

    def time_of(earlier: int) -> Times:
        return idle[earlier] if earlier in idle else np.asarray(clock.time_after(ends[earlier]))

    def begins(earlier: int, days: float) -> Times:
        if not days:
            return np.asarray(ends[earlier])
        if (earlier, days) not in waited:
            waited[earlier, days] = np.asarray(clock.hours_until(time_of(earlier) + days))
        return waited[earlier, days]

    followed = {earlier for one in stages for earlier, _ in one.after}
    for at, one in enumerate(stages):
        if hours[at].any():
            np.add(hours[at], clock.hours_until(one.begins), out=ends[at])
            for earlier, days in one.after:
                np.maximum(ends[at], begins(earlier, days) + hours[at], out=ends[at])
        else:
            idle[at] = np.full_like(last, one.begins)
            for earlier, days in one.after:
                np.maximum(idle[at], time_of(earlier) + days, out=idle[at])
            ends[at] = clock.hours_until(idle[at])
        if one.wait or at not in followed:
            np.maximum(last, time_of(at) + one.wait, out=last)
    return last
