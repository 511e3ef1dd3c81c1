"""Six open parts of a parlour guitar and a rack of 300 pieces against trying every choice there is.

Trying all 300 would be 7 × 10¹⁴ choices, so that a small rack is tried; what each pair of pieces
comes to is worked out beforehand there and not counted. The open parts are those six that touch
each other most.

Run with `python -m pytest tests/benchmarks/test_proposals_speed.py -s`.
"""

import time
from functools import reduce

import numpy as np
import pytest

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.verdicts.proposals import (
    CLOSENESS_UNIT,
    ENOUGH,
    WEIGHTS,
    Scheme,
    Touch,
    distances_from_theme,
    propose,
)
from brief.colour.viewing.observer import STANDS_OUT, noise
from brief.instrument import preset
from brief.instrument.model.contacts import ELSEWHERE_MM2, areas_mm2, contacts

OPEN = ("back", "sides", "neck", "headplate", "fretboard", "nut")
PIECES, TRIED = 300, 14  # 14⁶ are 7.5 million choices
MOST_TIMES = 6.0
ROUNDS = 4
KIND = preset("parlour-steel-string")
ROLES = [part.role for part in KIND.parts]


def asked(pieces):
    """Every piece could be any of the open parts; each other part has one of its own."""
    rng = np.random.default_rng(5)
    labs = rng.uniform([20, 0, 0], [85, 20, 35], (pieces, 3))
    allowed = np.zeros((len(ROLES), pieces), dtype=bool)
    for row, role in zip(allowed, ROLES, strict=True):
        row[slice(None) if role in OPEN else rng.integers(pieces)] = True
    areas, theme = areas_mm2(KIND), rng.uniform([20, 0, 0], [85, 20, 35], (5, 3))
    touches = tuple(
        Touch(ROLES.index(c.role), ROLES.index(c.ground), c.length_mm, c.line_mm is not None)
        for c in contacts(KIND)
    )
    return Scheme(
        labs=labs,
        doubts=rng.uniform(0.5, 6, pieces),
        grains=rng.uniform(0.3, 3, pieces),
        allowed=allowed,
        areas=np.array([areas.get(role, ELSEWHERE_MM2) for role in ROLES]),
        touches=touches,
        wanted=distances_from_theme(labs, [None] * len(ROLES), theme),
    )


def pair_table(scheme, touch, figure):
    """A figure of every pair of pieces for two parts that touch, to broadcast to all choices."""
    pieces = [np.flatnonzero(row) for row in scheme.allowed]
    one, other = np.meshgrid(pieces[touch.one], pieces[touch.other], indexing="ij")
    table = figure(scheme, one, other)
    if touch.one > touch.other:
        table = table.T
    parts = touch.one, touch.other
    return table.reshape([len(p) if part in parts else 1 for part, p in enumerate(pieces)])


def harmony(scheme, one, other):
    return pair_harmony(scheme.labs[one], scheme.labs[other]).total


def legibility(scheme, one, other):
    apart = delta_e_2000(scheme.labs[one], scheme.labs[other])
    doubt = np.hypot(scheme.doubts[one], scheme.doubts[other])
    return (apart - doubt) / (STANDS_OUT * noise(scheme.grains[other], 1.0, 0.5))


def tables(scheme):
    """Of all choices, by terms that broadcast: legibility, harmony, distance from the theme."""
    length = sum(touch.length_mm for touch in scheme.touches)
    shares = scheme.areas / scheme.areas.sum() / CLOSENESS_UNIT
    off = []
    for part, row in enumerate(scheme.allowed):
        shape = [-1 if place == part else 1 for place in range(len(ROLES))]
        off.append((scheme.wanted[part, row] * shares[part]).reshape(shape))
    return (
        [pair_table(scheme, touch, legibility) for touch in scheme.touches if touch.line],
        [pair_table(scheme, t, harmony) * t.length_mm / length for t in scheme.touches],
        off,
    )


def best_by_trying_all(legible, harmonious, off):
    """The most that is reached with each floor and weight."""
    reads = np.minimum(reduce(np.minimum, legible), ENOUGH)
    together, away = reduce(np.add, harmonious), reduce(np.add, off)
    best = {}
    for floor in {reads.max(), min(reads.max(), 1.0)}:
        barred = np.where(reads >= floor - 1e-9, 0.0, -np.inf)
        for weight in WEIGHTS:
            best[weight] = max(
                best.get(weight, -np.inf),
                float((barred + weight * together - (1 - weight) * away).max()),
            )
    return best


def value(choice, weight):
    return weight * choice.harmony - (1 - weight) * choice.closeness / CLOSENESS_UNIT


@pytest.fixture(scope="module")
def tried():
    """Seconds to try all of the small rack, on which `propose` finds the same."""
    small = asked(TRIED)
    known, times = tables(small), []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        best = best_by_trying_all(*known)
        times.append(time.perf_counter() - start)
    found = propose(small)
    for weight in (WEIGHTS[0], WEIGHTS[-1]):  # of many, the two extremes are always shown
        assert max(value(one, weight) for one in found) == pytest.approx(best[weight], abs=1e-9)
    return min(times)


def test_300_pieces_take_a_few_times_what_trying_all_of_14_takes(benchmark, tried):
    large = asked(PIECES)
    assert benchmark.pedantic(propose, (large,), rounds=ROUNDS, warmup_rounds=1)
    seconds = benchmark.stats.stats.min
    benchmark.extra_info["times trying all of 14"] = seconds / tried
    print(f"\n{seconds:.2f} s for {PIECES}; {tried:.2f} s to try all of {TRIED}")
    assert seconds / tried <= MOST_TIMES, seconds / tried
