"""When each stage is worked at, when it must be at the latest, and whether all is ready in time.

One pair of hands: of the stages that can begin, the one with the longest way still behind it comes
first (Schrage's rule for one machine with heads and tails; Carlier 1982), so that a finish cures
while a case is lined. The order is settled with the mean hours and kept in every run of the
simulation; whoever swaps stages on the day can only gain by it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

import numpy as np

from brief.errors import InputError
from brief.plan.network import critical, in_order
from brief.plan.simulate import Estimate, Placed, Times, drawn, over
from brief.plan.week import AHEAD_DAYS, NIGHT, BenchTime

LEVELS = (0.5, 0.8, 0.95)
TRIED_RUNS = 2_000  # of what leaving something out would gain, which is compared run by run
MOST_TRIED = 12


@dataclass(frozen=True)
class PlannedStage:
    """A stage of the work.

    after : keys of what must come before it. hours : of those still to do. wait_days : on the
    calendar, from its end until what follows can begin. done_on : the day it was done, if it was.
    spare : whether the piece could be without it.
    """

    key: str
    name: str
    after: tuple[str, ...]
    hours: Estimate
    wait_days: float = 0.0
    done_on: date | None = None
    spare: bool = False


@dataclass(frozen=True)
class Turn:
    """When a stage is worked at, with the mean hours. `until` is the end of the work, `over` that
    of the wait behind it. latest : the last day to begin it on for the due date; None without one.
    slack_days : whole days from `begin` to `latest`, negative where that has passed.
    """

    stage: PlannedStage
    begin: date
    until: date
    over: date
    begin_time: float
    until_time: float
    over_time: float
    latest: date | None
    slack_days: int | None
    critical: bool


@dataclass(frozen=True)
class LeftOut:
    """What leaving out a stage would gain: hours, days at 80 %, and the chance then."""

    stage: PlannedStage
    hours: float
    days: float
    chance: float | None


@dataclass(frozen=True)
class Outlook:
    """turns : in the order of work, those that are done first. ends : when all is over, in each
    run, sorted. chance : of the due date, 0..1. ready : the days by which all is over with the
    chances of `LEVELS`.
    """

    bench: BenchTime
    due: date | None
    turns: Sequence[Turn]
    ends: Times
    chance: float | None
    ready: Mapping[float, date]
    left_out: Sequence[LeftOut]

    @property
    def chance_a_week_later(self) -> float | None:
        """The chance if the due date were seven days later."""
        return None if self.due is None else _chance(self.ends, self.bench.time_of(self.due) + 8)

    @property
    def to_do(self) -> Sequence[Turn]:
        """The stages that are not done, in the order of work."""
        return [turn for turn in self.turns if turn.stage.done_on is None]


def check_stages(stages: Sequence[PlannedStage]) -> None:
    """Raise InputError for a circle among them, and name it."""
    in_order(_after(stages), {one.key: one.name for one in stages})


@lru_cache(maxsize=32)
def outlook(stages: tuple[PlannedStage, ...], bench: BenchTime, due: date | None) -> Outlook:
    """What is to be expected of these stages from the bench's today on.

    Raises InputError for a circle, and for more hours than the bench has in ten years.
    """
    check_stages(stages)
    _check_length(stages, bench)
    order = _order(stages, bench)
    placed = _placed(order, bench)
    means = [one.hours.mean for one in placed]
    hours = drawn([one.hours for one in placed])
    ends = np.sort(np.maximum(over(placed, hours, bench), bench.now))
    return Outlook(
        bench=bench,
        due=due,
        turns=_turns(order, placed, means, bench, due),
        ends=ends,
        chance=None if due is None else _chance(ends, bench.time_of(due) + 1),
        ready={one: max(bench.day_of(_quantile(ends, one)), bench.today) for one in LEVELS},
        left_out=_left_out(order, placed, hours[:, :TRIED_RUNS], bench, due),
    )


def _check_length(stages: Sequence[PlannedStage], bench: BenchTime) -> None:
    hours = sum(_left(one).slow for one in stages)
    if hours > bench.ahead():
        raise InputError(
            "These stages need more hours than your week has in ten years. "
            "Look at the hours of the week and of the stages."
        )
    worked = float(bench.later(bench.now, hours)) - bench.now
    if worked + sum(one.wait_days for one in stages) > AHEAD_DAYS:
        raise InputError("Work and waits come to more than ten years. Look at the longest wait.")


def _chance(ends: Times, by: float) -> float:
    return float(np.searchsorted(ends, by + NIGHT, side="right")) / len(ends)


def _quantile(ends: Times, level: float) -> float:
    return float(np.quantile(ends, level, method="inverted_cdf"))


def _after(stages: Sequence[PlannedStage]) -> dict[str, tuple[str, ...]]:
    known = {one.key for one in stages}
    return {one.key: tuple(key for key in one.after if key in known) for one in stages}


def _left(stage: PlannedStage) -> Estimate:
    return Estimate(0, 0, 0) if stage.done_on else stage.hours


def _begins(stage: PlannedStage, bench: BenchTime) -> float:
    """Of one that is done, the time that its wait runs from."""
    return bench.time_of(stage.done_on) if stage.done_on else bench.now


def _order(stages: Sequence[PlannedStage], bench: BenchTime) -> list[PlannedStage]:
    """In the order of work: Schrage's rule, by the mean hours."""
    after = _after(stages)
    by_key = {one.key: one for one in stages}
    a_day = sum(bench.week) / 7
    spans = {one.key: _left(one).mean / a_day + one.wait_days for one in stages}
    network = critical(spans, after)
    behind = {key: network.length - latest for key, latest in network.latest.items()}
    waiting = in_order(after)
    over_at: dict[str, float] = {}
    free = bench.now
    order: list[PlannedStage] = []
    while waiting:
        can = {
            key: max((over_at[one] for one in after[key]), default=0.0)
            for key in waiting
            if all(one in over_at for one in after[key])
        }
        now = max(free, min(can.values()))
        ready = [key for key in can if can[key] <= now + 1e-9]
        at_no_cost = [key for key in ready if _left(by_key[key]).mean == 0]
        key = (at_no_cost or sorted(ready, key=lambda one: -behind[one]))[0]
        stage = by_key[key]
        end = max(can[key], _begins(stage, bench))
        if _left(stage).mean > 0:
            end = free = float(bench.later(max(end, free), _left(stage).mean))
        over_at[key] = end + stage.wait_days
        order.append(stage)
        waiting.remove(key)
    return order


def _placed(order: Sequence[PlannedStage], bench: BenchTime) -> list[Placed]:
    """The stages for the simulation, each tied to the one that the bench has before it, too."""
    place = {one.key: at for at, one in enumerate(order)}
    after = _after(order)
    placed: list[Placed] = []
    last: int | None = None
    for at, one in enumerate(order):
        ties = [(place[key], float(order[place[key]].wait_days)) for key in after[one.key]]
        works = _left(one).slow > 0
        if works and last is not None:
            ties.append((last, 0.0))
        if one.done_on:  # whatever was to come before it
            ties = []
        placed.append(Placed(_left(one), tuple(ties), _begins(one, bench), float(one.wait_days)))
        last = at if works else last
    return placed


def _turns(
    order: Sequence[PlannedStage],
    placed: Sequence[Placed],
    means: Sequence[float],
    bench: BenchTime,
    due: date | None,
) -> list[Turn]:
    begins, ends = list[float](), list[float]()
    binding: list[int | None] = []  # what each of them waited for longest
    for at, one in enumerate(placed):
        came = [(ends[earlier] + days, earlier) for earlier, days in one.after]
        when, which = max(came, default=(one.begins, None))
        begins.append(max(when, one.begins))
        binding.append(which if when >= one.begins else None)
        ends.append(float(bench.later(begins[at], means[at])) if means[at] else begins[at])
    overs = [end + one.wait for end, one in zip(ends, placed, strict=True)]
    on_path = set[int]()
    follow = int(np.argmax(overs)) if overs else None
    while follow is not None:
        on_path.add(follow)
        follow = binding[follow]
    latest = _latest(placed, means, bench, due)
    turns = []
    for at, stage in enumerate(order):
        begin = _begin_day(stage, begins[at], means[at], bench)
        last = latest and bench.start_of(latest[at])
        turns.append(
            Turn(
                stage=stage,
                begin=begin,
                until=stage.done_on or max(begin, bench.day_of(ends[at])),
                over=max(begin, bench.day_of(overs[at])),
                begin_time=max(begins[at], bench.time_of(begin)),
                until_time=ends[at],
                over_time=overs[at],
                latest=last or None,
                slack_days=(last - begin).days if last else None,
                critical=at in on_path and stage.done_on is None,
            )
        )
    return sorted(turns, key=lambda turn: (turn.stage.done_on is None, turn.begin_time))


def _begin_day(stage: PlannedStage, begins: float, hours: float, bench: BenchTime) -> date:
    if stage.done_on:
        return stage.done_on
    return bench.start_of(begins) if hours else bench.day_at(begins)


def _latest(
    placed: Sequence[Placed], means: Sequence[float], bench: BenchTime, due: date | None
) -> list[float] | None:
    """When each must begin at the latest, kept in this order, for all to be over on the due day."""
    if due is None:
        return None
    end = bench.time_of(due) + 1
    ends = [end - one.wait for one in placed]
    begins = [0.0] * len(placed)
    for at in reversed(range(len(placed))):
        begins[at] = bench.sooner(ends[at], means[at]) if means[at] else ends[at]
        for earlier, days in placed[at].after:
            ends[earlier] = min(ends[earlier], begins[at] - days)
    return begins


def _left_out(
    order: Sequence[PlannedStage],
    placed: Sequence[Placed],
    hours: Times,
    bench: BenchTime,
    due: date | None,
) -> list[LeftOut]:
    """The spare stages that cost most, by what is gained without them."""
    spare = [at for at, one in enumerate(order) if one.spare and not one.done_on]
    spare = sorted(spare, key=lambda at: -placed[at].hours.mean)[:MOST_TRIED]
    by = None if due is None else bench.time_of(due) + 1
    before = _quantile(over(placed, hours, bench), 0.8) if spare else 0.0
    found = []
    for at in spare:
        without = hours.copy()
        without[at] = 0.0
        fewer = list(placed)
        fewer[at] = replace(placed[at], wait=0.0)
        for later, one in enumerate(placed):
            ties = tuple((to, 0.0 if to == at else days) for to, days in one.after)
            fewer[later] = replace(fewer[later], after=ties)
        ends = np.sort(over(fewer, without, bench))
        gained = before - _quantile(ends, 0.8)
        chance = None if by is None else _chance(ends, by)
        found.append(LeftOut(order[at], placed[at].hours.mean, gained, chance))
    return sorted(found, key=lambda one: (-one.days, -one.hours))
