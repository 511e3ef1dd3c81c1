"""The maker's own week: from hours at the bench to days of the calendar, and back.

Times are days since midnight of `first`, with fractions. The hours of a day are spread evenly over
it, so that a day is the finest that anything here says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from brief.errors import InputError

Times = npt.NDArray[np.float64]
USUAL_WEEK = (6.0, 6.0, 6.0, 6.0, 6.0, 0.0, 0.0)
"""Hours at the bench from Monday to Sunday; a working day also has mail, tools and customers.
Common practice, no source."""
BACK_DAYS = 2 * 365  # so that one can say how long ago a stage should have begun
AHEAD_DAYS = 10 * 365
MOST_HOURS = 24.0
SECOND_H = 1 / 3600
NIGHT = 1e-3  # of a day: what is nearer to midnight is at its midnight


@dataclass(frozen=True)
class Away:
    """Days on which nothing is done at this: both belong to it. name : a holiday, another
    commission, a fair.
    """

    name: str
    first: date
    last: date


@dataclass(frozen=True)
class BenchTime:
    """When the bench is worked at. week : hours from Monday to Sunday.

    Raises InputError for a week without hours, and for hours that no day has.
    """

    today: date
    week: tuple[float, ...] = USUAL_WEEK
    away: tuple[Away, ...] = ()

    def __post_init__(self) -> None:
        check_week(self.week)

    @property
    def first(self) -> date:
        """The day that times are counted from."""
        return self.today - timedelta(days=BACK_DAYS)

    @property
    def now(self) -> float:
        """The beginning of today."""
        return float(BACK_DAYS)

    def time_of(self, day: date) -> float:
        """The beginning of a day."""
        return float((day - self.first).days)

    def day_of(self, time: float) -> date:
        """The day by whose end it is that time."""
        return self.first + timedelta(days=max(int(np.ceil(time - NIGHT)) - 1, 0))

    def day_at(self, time: float) -> date:
        """The day that what begins at that time begins on."""
        return self.first + timedelta(days=int(np.floor(time + NIGHT)))

    def start_of(self, time: float) -> date:
        """The first day on which something that can begin at that time is worked at."""
        working = np.flatnonzero(self._hours)
        at = int(np.searchsorted(working, self.time_of(self.day_at(time))))
        return self.first + timedelta(days=int(working[min(at, len(working) - 1)]))

    @cached_property
    def _hours(self) -> Times:
        days = BACK_DAYS + AHEAD_DAYS
        start = self.first.weekday()
        hours = np.array([self.week[(start + at) % 7] for at in range(days)])
        for one in self.away:
            low, high = (int(self.time_of(day)) for day in (one.first, one.last))
            hours[max(low, 0) : max(high + 1, 0)] = 0.0
        return hours

    @cached_property
    def _passed(self) -> Times:
        """Hours until the beginning of each day."""
        return np.concatenate([[0.0], np.cumsum(self._hours)])

    @cached_property
    def _knots(self) -> tuple[Times, Times]:
        """Hours that have passed, each once, and at which times: the earliest, then the latest."""
        hours, first = np.unique(self._passed, return_index=True)
        last = len(self._passed) - 1 - np.unique(self._passed[::-1], return_index=True)[1]
        return hours, np.stack([first, last]).astype(np.float64)

    def hours_until(self, time: Any) -> Any:
        """The hours at the bench that have passed by then; of an array, of each."""
        at = np.clip(time, 0.0, len(self._hours) - 1e-9)
        whole = at.astype(np.intp) if isinstance(at, np.ndarray) else int(at)
        return self._passed[whole] + (at - whole) * self._hours[whole]

    def ahead(self) -> float:
        """All hours that there are from today on, as far as this looks ahead."""
        return float(self._passed[-1] - self._passed[BACK_DAYS])

    @cached_property
    def _ends(self) -> tuple[Times, Times]:
        """For `np.interp`: of hours that end with a day, the end of that day and not of the next
        day off; what is a second more ends on the next working day."""
        hours, times = self._knots
        return np.stack([hours, hours + SECOND_H]).T.ravel(), times.T.ravel()

    @cached_property
    def _begins(self) -> tuple[Times, Times]:
        """The same backwards, as late as can be; by the second that `_ends` may be off."""
        hours, times = self._knots
        return np.stack([hours - 2 * SECOND_H, hours - SECOND_H]).T.ravel(), times.T.ravel()

    def time_after(self, hours: Any) -> Any:
        """The earliest time at which so many hours have passed; of an array, of each."""
        return np.interp(hours, *self._ends)

    def later(self, start: Any, hours: Any) -> Any:
        """When work that begins at `start` and needs so many hours ends; of arrays, each."""
        return self.time_after(self.hours_until(start) + hours)

    def sooner(self, end: float, hours: float) -> float:
        """When work must begin at the latest to end by `end`."""
        return float(np.interp(self.hours_until(end) - hours, *self._begins))


def check_week(week: Sequence[float]) -> None:
    """Raise InputError unless these can be the hours of a maker's week."""
    if len(week) != 7:
        raise InputError("A week needs seven numbers of hours, from Monday to Sunday.")
    if not all(0 <= hours <= MOST_HOURS for hours in week):
        raise InputError("Hours at the bench are 0 to 24 on each day. Write 6.")
    if not sum(week) > 0:
        raise InputError("A week without hours never ends. Give at least one day some hours.")
