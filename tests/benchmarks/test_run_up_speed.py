"""How long 10,000 runs of 40 stages take, beside a loop over runs and stages in plain Python."""

import random
import time
from datetime import date

import numpy as np

from brief.plan.simulate import Estimate, Placed, drawn, over
from brief.plan.week import BenchTime

RUNS, STAGES, LOOPED = 10_000, 40, 100


def _looped(placed, bench, runs):
    """The same in plain Python, run by run and day by day."""
    chance = random.Random(1)
    found = []
    for _ in range(runs):
        ends = []
        for one in placed:
            low, likely, high = one.hours.quick, one.hours.likely, one.hours.slow
            shape = (1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low))
            left = low + (high - low) * chance.betavariate(*shape)
            at = max([one.begins, *(ends[to] + days for to, days in one.after)])
            weekday = (bench.first.weekday() + int(at)) % 7
            while left > 0:
                day = bench.week[weekday]
                here = (1 - at % 1) * day
                if here >= left:
                    at += left / day
                    break
                left -= here
                at = float(int(at) + 1)
                weekday = (weekday + 1) % 7
            ends.append(at)
        found.append(max(ends))
    return found


def test_ten_thousand_runs_are_fifty_times_as_fast_as_a_loop(benchmark):
    bench = BenchTime(date(2027, 3, 1))
    placed = [
        Placed(Estimate(2, 4, 12), ((at - 1, float(at % 5 == 0)),) if at else (), bench.now)
        for at in range(STAGES)
    ]

    def simulated():
        return over(placed, drawn([one.hours for one in placed], RUNS), bench)

    simulated()
    start = time.process_time()
    looped = _looped(placed, bench, LOOPED)
    loop_s = (time.process_time() - start) / LOOPED * RUNS
    ends = benchmark(simulated)
    assert abs(np.mean(ends) - np.mean(looped)) < 1
    start = time.process_time()
    for _ in range(5):
        simulated()
    ours_s = (time.process_time() - start) / 5
    print(f"\n{ours_s * 1000:.0f} ms, {loop_s / ours_s:.0f} times as fast")
    assert loop_s > 50 * ours_s
