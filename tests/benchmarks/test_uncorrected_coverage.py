"""What photographs that are corrected alike have in common, or with nothing to correct them by.

How much surer than one the mean of several is, a difference than its two ends, and what changed
than what there is. Shots are drawn from `JUDGE` of `tests/photo/measured_cameras.py`, which no
number was found by; whether the uncertainty of one holds: `test_doubt_coverage.py`.
Run with `python -m pytest tests/benchmarks/test_uncorrected_coverage.py -s`.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.photo import LIGHTS, NOT_KNOWN, no_correction
from brief.photo.correction.correction import (
    COMMON_SHARE,
    OWN_SHARE,
    PAIR_SHARE,
    UNCORRECTED_PHOTO_DELTA_E,
)
from tests.photo.doubt import SETTINGS, corrections, measured, shots
from tests.photo.measured_cameras import JUDGE, Shot, true_xyz
from tests.photo.rendered_chart import wood_like

SHOTS = 60  # in each setting
BOTH = np.hypot(UNCORRECTED_PHOTO_DELTA_E, UNCORRECTED_PHOTO_DELTA_E)


@pytest.fixture(scope="module")
def truth():
    return np.concatenate([xyz_to_lab(true_xyz(which)) for which in JUDGE.surfaces])


def drawn() -> Iterator[tuple[Shot, np.random.Generator]]:
    for setting in SETTINGS:
        yield from shots(JUDGE, setting, SHOTS)


def again(shot: Shot, rng: np.random.Generator) -> Shot:
    """Another exposure of the same things in the same light."""
    return replace(shot, white=rng.uniform(0.5, 0.9), veil=rng.uniform(0, 0.01))


def seen(shot: Shot, rng: np.random.Generator):
    """What a photograph shows of all the surfaces, as CIELAB, taken at its word."""
    return no_correction().apply(measured(shot, JUDGE, rng)[0])


def near_woods(truth):
    """Pairs of woods up to 12 apart, as wood before and after a finish."""
    pairs = permutations(np.flatnonzero(wood_like(truth)), 2)
    return np.array([(i, j) for i, j in pairs if delta_e_2000(truth[i], truth[j]) < 12]).T


def test_by_how_much_it_is_off_on_average(truth):
    off = [delta_e_2000(seen(shot, rng), truth) for shot, rng in drawn()]
    stated = LIGHTS[NOT_KNOWN].nothing.residual
    print(f"\nmean {np.mean(off):.1f}, stated {stated:.1f}")
    assert np.mean(off) == pytest.approx(stated, abs=1)


@pytest.mark.parametrize("count", [2, 4])
def test_several_in_the_same_light_are_hardly_surer_than_one(truth, count):
    wood = wood_like(truth)
    one, several = [], []
    for shot, rng in drawn():
        labs = [seen(again(shot, rng), rng)[wood] for _ in range(count)]
        one.append(delta_e_2000(labs[0], truth[wood]))
        several.append(delta_e_2000(np.mean(labs, axis=0), truth[wood]))
    gained = np.quantile(several, 0.9) / np.quantile(one, 0.9)
    stated = np.hypot(COMMON_SHARE, OWN_SHARE / np.sqrt(count))
    print(f"\n{count} photographs: {gained:.2f} of the doubt of one, stated {stated:.2f}")
    assert stated - 0.1 <= gained <= stated + 0.02
    assert np.hypot(COMMON_SHARE, OWN_SHARE) == pytest.approx(1)


def test_what_changed_is_surer_than_what_there_is(truth):
    before, after = near_woods(truth)
    off = []
    for shot, rng in drawn():
        first, second = seen(shot, rng), seen(again(shot, rng), rng)
        shifted = truth[before] + second[after] - first[before]
        off.append(delta_e_2000(shifted, truth[after]))
    covered = np.mean(np.array(off) <= OWN_SHARE * BOTH)
    print(f"\na shift: {covered:.1%} covered by {OWN_SHARE:.2f} of the doubts of both ends")
    assert 0.87 <= covered <= 0.94


def test_what_changed_by_a_card_is_surer_too(truth):
    before, after = near_woods(truth)
    off, stated = [], []
    for shot, rng in drawn():
        labs, doubts = [], []
        for one in (shot, again(shot, rng)):
            correction = corrections(one, rng, ["grey card 18 %"])["grey card 18 %"]
            labs.append(correction.apply(measured(one, JUDGE, rng)[0]))
            doubts.append(correction.uncertainty)
        shifted = truth[before] + labs[1][after] - labs[0][before]
        off.append(delta_e_2000(shifted, truth[after]))
        stated.append(OWN_SHARE * np.hypot(*doubts))
    covered = np.mean(np.array(off) <= np.array(stated)[:, None])
    print(f"\na shift by a card: {covered:.1%} covered by {OWN_SHARE:.2f} of the doubts")
    assert covered >= 0.87


@pytest.mark.parametrize("alike", [True, False], ids=["one photograph", "two"])
@pytest.mark.parametrize("others", ["woods", "all"])
def test_how_sure_the_difference_of_a_wood_and_another_thing_is(truth, others, alike):
    """In one photograph, or in two of other light, camera and tone curve: then least surely."""
    wood = np.flatnonzero(wood_like(truth))
    pool = wood if others == "woods" else np.arange(len(truth))
    labs = [seen(shot, rng) for shot, rng in drawn()]
    rng = np.random.default_rng(2)
    other = labs if alike else [labs[index] for index in rng.permutation(len(labs))]
    off = []
    for one, two in zip(labs, other, strict=True):
        i, j = rng.choice(wood, 100), rng.choice(pool, 100)
        off.append(np.abs(delta_e_2000(one[i], two[j]) - delta_e_2000(truth[i], truth[j])))
    covered = np.mean(np.array(off) <= PAIR_SHARE * BOTH)
    share = np.quantile(off, 0.9) / BOTH
    print(f"\nwood and {others}: 9 in 10 within {share:.2f} of the doubts; {covered:.1%} covered")
    assert covered >= 0.87
