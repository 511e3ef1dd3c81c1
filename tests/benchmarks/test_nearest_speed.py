"""The 20 nearest of a million colours against scanning them all with our own CIEDE2000, one run.

The million are sorted once, when the search is made; that is not counted. The targets lie among
the colours: one far outside them all costs about as much as a scan.

Run with `python -m pytest tests/benchmarks/test_nearest_speed.py`.
"""

import time

import numpy as np
import pytest

from brief.colour import delta_e_2000
from brief.colour.nearest import Nearest

COLOURS, COUNT, TARGETS, ROUNDS = 1_000_000, 20, 12, 3
SHARE_OF_A_SCAN = 0.25


def scan(labs, targets):
    return [np.argpartition(delta_e_2000(labs, target), COUNT)[:COUNT] for target in targets]


CLOUDS = {
    "lab": lambda rng: rng.uniform([0, -100, -100], [100, 100, 100], (COLOURS, 3)),
    "woods": lambda rng: rng.normal([55, 10, 22], [9, 5, 7], (COLOURS, 3)),
}


@pytest.mark.parametrize("cloud", CLOUDS)
def test_share_of_a_full_scan(benchmark, cloud):
    labs = CLOUDS[cloud](np.random.default_rng(20))
    targets = np.add(labs[:: COLOURS // TARGETS][:TARGETS], [0, 0.5, 0.5])
    scans = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        expected = scan(labs, targets)
        scans.append(time.perf_counter() - start)
    search = Nearest(labs)
    found = benchmark.pedantic(
        lambda: [search.to(target, COUNT)[0] for target in targets], rounds=ROUNDS
    )
    for ours, theirs in zip(found, expected, strict=True):
        assert set(ours.tolist()) == set(theirs.tolist())
    share = benchmark.stats.stats.min / min(scans)
    benchmark.extra_info["share of a scan"] = share
    assert share <= SHARE_OF_A_SCAN, share
