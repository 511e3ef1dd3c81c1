"""A thousand pairs under twelve conditions in one call against the same call pair by pair, one run.

Run with `python -m pytest tests/benchmarks/test_pairs_speed.py -s`.
"""

import time
from itertools import product

import numpy as np
import pytest

from brief.colour.verdicts.pairs import pair_figures
from brief.colour.viewing.colour_vision import NORMAL, eyes
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.light import light

PAIRS, CELLS = 1000, 60
ONE_BY_ONE = 100  # of them, or it takes a quarter of a minute
ROUNDS = 5
TIMES_FASTER = 10
KINDS = (("bare", 0.5), ("finished", 2.0))
CONDITIONS = [
    Condition(f"{state}-{lit}-{seen_by.kind}", "", distance_m, state, light(lit), seen_by)
    for (state, distance_m), lit, seen_by in product(
        KINDS, ("A", "LED-B3"), (NORMAL, eyes("protan"), eyes("deutan"))
    )
]


@pytest.fixture(scope="module", params=["with a figure", "without"])
def asked(request):
    """Grounds and inlays in both states, widths, doubts, and the figure of each ground."""
    rng = np.random.default_rng(12)
    bare = rng.uniform([20, 0, 0], [60, 20, 35], (PAIRS, 3))
    inlays = rng.uniform([40, 0, 0], [90, 20, 35], (PAIRS, 3))
    finished = bare + rng.normal([-8, 2, 3], 1, (PAIRS, 3))
    states = np.array([one.state == "finished" for one in CONDITIONS])
    return {
        "grounds": np.where(states[:, np.newaxis, np.newaxis], finished, bare),
        "inlays": np.broadcast_to(inlays, (len(CONDITIONS), PAIRS, 3)),
        "widths_mm": np.where(rng.random(PAIRS) < 0.8, rng.uniform(0.3, 3, PAIRS), np.nan),
        "uncertainties": rng.uniform(1, 8, (len(CONDITIONS), PAIRS)),
        "figure": np.append(
            rng.normal(0, 3, (PAIRS, CELLS, 3)), rng.random((PAIRS, CELLS, 1)), axis=2
        )
        if request.param == "with a figure"
        else None,
    }


def some(asked, part):
    """The question about only some of the pairs."""
    figure = asked["figure"]
    return {
        "grounds": asked["grounds"][:, part],
        "inlays": asked["inlays"][:, part],
        "widths_mm": asked["widths_mm"][part],
        "uncertainties": asked["uncertainties"][:, part],
        "figure": None if figure is None else figure[part],
    }


def figures(question):
    return pair_figures(
        question["grounds"],
        question["inlays"],
        CONDITIONS,
        **{name: question[name] for name in ("widths_mm", "uncertainties", "figure")},
    )


def test_times_faster_than_pair_by_pair(benchmark, asked):
    alone = [some(asked, slice(i, i + 1)) for i in range(ONE_BY_ONE)]
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        each = [figures(question) for question in alone]
        times.append(time.perf_counter() - start)
    whole = benchmark.pedantic(figures, (asked,), rounds=2 * ROUNDS, warmup_rounds=1)
    for i, one in enumerate(each):
        np.testing.assert_allclose(whole.seen[:, i], one.seen[:, 0], rtol=1e-12)
        np.testing.assert_array_equal(whole.reading[:, i], one.reading[:, 0])
    ratio = min(times) * PAIRS / ONE_BY_ONE / benchmark.stats.stats.min
    benchmark.extra_info["times faster than pair by pair"] = ratio
    print(
        f"\n{PAIRS} pairs in {benchmark.stats.stats.min * 1000:.0f} ms; {ratio:.0f} times as fast"
    )
    assert ratio >= TIMES_FASTER, ratio
