"""CIEDE2000 on a million pairs against colour-science and scikit-image, one thread, one run.

Run with `python -m pytest tests/benchmarks/test_delta_e_speed.py`.
"""

import time
import warnings

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from brief.colour import delta_e_2000

PAIRS = 1_000_000
TIMES_FASTER = 3.5
ROUNDS = 5


def best_time(function, *arguments) -> float:
    """The least of several runs: what the code takes when nothing else disturbs it."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        function(*arguments)
        times.append(time.perf_counter() - start)
    return min(times)


@pytest.fixture(scope="module")
def rivals():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # colour-science warns where Matplotlib is missing
        from colour.difference import delta_E_CIE2000
        from skimage.color import deltaE_ciede2000
    return {"colour-science": delta_E_CIE2000, "scikit-image": deltaE_ciede2000}


def test_times_faster_than_the_faster_library(benchmark, rivals):
    rng = np.random.default_rng(2000)
    low, high = [0, -100, -100], [100, 100, 100]
    lab_1, lab_2 = rng.uniform(low, high, (PAIRS, 3)), rng.uniform(low, high, (PAIRS, 3))
    with threadpool_limits(limits=1):
        theirs = {name: best_time(rival, lab_1, lab_2) for name, rival in rivals.items()}
        benchmark.pedantic(delta_e_2000, (lab_1, lab_2), rounds=2 * ROUNDS, warmup_rounds=1)
    ours = benchmark.stats.stats.min
    ratios = {name: taken / ours for name, taken in theirs.items()}
    benchmark.extra_info.update({f"times faster than {name}": r for name, r in ratios.items()})
    assert min(ratios.values()) >= TIMES_FASTER, ratios
