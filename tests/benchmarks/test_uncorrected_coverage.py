"""Photographs with nothing in the shot to correct them by: does the stated uncertainty hold?

Cameras and surfaces as in `tests/photo/rendered_chart.py`, with all its lights and more, the
white balance automatic, the exposure drawn anew for each photograph. Also what photographs have in
common: how much surer than one the mean of several is, and a difference than its two ends.
Run with `python -m pytest tests/benchmarks/test_uncorrected_coverage.py -s`.
"""

from functools import cache
from itertools import permutations

import numpy as np
import pytest

from brief.colour import delta_e_2000, linear_to_srgb, srgb_to_linear, xyz_to_lab
from brief.photo.correction import (
    COMMON_SHARE,
    OWN_SHARE,
    UNCORRECTED_PHOTO_DELTA_E,
    UNCORRECTED_RESIDUAL,
    no_correction,
)
from tests.photo.rendered_chart import CAMERAS, Shot, surface_reflectances, true_xyz, wood_like

LIGHTS = ("A", "D50", "D55", "D65", "FL2", "FL3", "FL8", "FL11", "FL12")
LEDS = ("LED-B1", "LED-B3", "LED-B5", "LED-V1")
SHOTS = 400


@pytest.fixture(scope="module")
def truth():
    return xyz_to_lab(true_xyz(surface_reflectances()))


@cache
def recorded(camera: str, light: str, balanced: bool):
    return Shot(camera, light, balanced, exposure=1.0).linear(surface_reflectances())


def shot(rng, camera: str, light: str, balanced: bool = True):
    """What a photograph shows of all the surfaces, as CIELAB, taken at its word."""
    linear = recorded(camera, light, balanced) * rng.uniform(0.5, 0.9) + rng.uniform(0, 0.01)
    levels = np.rint(linear_to_srgb(np.clip(linear, 0, 1)) * 255)
    return no_correction().apply(srgb_to_linear(levels / 255))


def drawn(rng):
    return str(rng.choice(CAMERAS)), str(rng.choice(LIGHTS + LEDS))


def test_nine_in_ten_lie_within_what_is_stated(truth):
    rng = np.random.default_rng(0)
    wood = wood_like(truth)
    off = np.array([delta_e_2000(shot(rng, *drawn(rng)), truth) for _ in range(SHOTS)])
    unbalanced = [delta_e_2000(shot(rng, *drawn(rng), False), truth) for _ in range(SHOTS)]
    print(
        f"\nall: mean {off.mean():.1f}, 9 in 10 within {np.quantile(off, 0.9):.1f}; woods: mean "
        f"{off[:, wood].mean():.1f}, 9 in 10 within {np.quantile(off[:, wood], 0.9):.1f}; "
        f"without white balance 9 in 10 within {np.quantile(unbalanced, 0.9):.1f}"
    )
    for pool in (off, off[:, wood]):
        nine_in_ten = np.quantile(pool, 0.9)
        assert nine_in_ten <= UNCORRECTED_PHOTO_DELTA_E * 1.03 <= 1.3 * nine_in_ten
    assert off.mean() == pytest.approx(UNCORRECTED_RESIDUAL, abs=1)


@pytest.mark.parametrize("count", [2, 4])
def test_several_in_the_same_light_are_hardly_surer_than_one(truth, count):
    rng = np.random.default_rng(count)
    wood = wood_like(truth)
    one, several = [], []
    for _ in range(SHOTS):
        here = drawn(rng)
        seen = [shot(rng, *here)[wood] for _ in range(count)]
        one.append(delta_e_2000(seen[0], truth[wood]))
        several.append(delta_e_2000(np.mean(seen, axis=0), truth[wood]))
    gained = np.quantile(several, 0.9) / np.quantile(one, 0.9)
    stated = np.hypot(COMMON_SHARE, OWN_SHARE / np.sqrt(count))
    print(f"\n{count} photographs: {gained:.2f} of the doubt of one, stated {stated:.2f}")
    assert stated == pytest.approx(gained, abs=0.05)
    assert np.hypot(COMMON_SHARE, OWN_SHARE) == pytest.approx(1)


def test_what_changed_is_surer_than_what_there_is(truth):
    """Woods up to 12 apart, as wood before and after a finish, in two photographs in one light."""
    rng = np.random.default_rng(1)
    near = np.array(
        [
            (i, j)
            for i, j in permutations(np.flatnonzero(wood_like(truth)), 2)
            if delta_e_2000(truth[i], truth[j]) < 12
        ]
    )
    before, after = near.T
    off = []
    for _ in range(SHOTS):
        here = drawn(rng)
        first, second = shot(rng, *here), shot(rng, *here)
        shifted = truth[before] + second[after] - first[before]
        off.append(delta_e_2000(shifted, truth[after]))
    share = np.quantile(off, 0.9) / np.hypot(UNCORRECTED_PHOTO_DELTA_E, UNCORRECTED_PHOTO_DELTA_E)
    print(f"\na shift: {share:.2f} of the doubts of both ends, stated {OWN_SHARE:.2f}")
    assert share <= OWN_SHARE


@pytest.mark.parametrize(
    ("others", "alike", "most"),
    [("woods", True, 0.35), ("woods", False, 0.45), ("all", True, 0.55), ("all", False, 0.65)],
)
def test_how_sure_the_difference_of_a_wood_and_another_thing_is(truth, others, alike, most):
    """In one photograph, or in two of other light: as a share of the doubts of both together."""
    rng = np.random.default_rng(2)
    wood = np.flatnonzero(wood_like(truth))
    pool = wood if others == "woods" else np.arange(len(truth))
    off = []
    for _ in range(SHOTS):
        one = shot(rng, *drawn(rng))
        other = one if alike else shot(rng, *drawn(rng))
        i, j = rng.choice(wood, 100), rng.choice(pool, 100)
        off.append(np.abs(delta_e_2000(one[i], other[j]) - delta_e_2000(truth[i], truth[j])))
    share = np.quantile(off, 0.9) / np.hypot(UNCORRECTED_PHOTO_DELTA_E, UNCORRECTED_PHOTO_DELTA_E)
    print(f"\nwood and {others}, {'one photograph' if alike else 'two'}: {share:.2f} of the doubts")
    assert share <= most
