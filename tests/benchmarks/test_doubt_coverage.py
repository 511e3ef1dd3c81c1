"""Does the stated uncertainty hold for nothing, a grey card, paper, both and a chart in the shot?

A hundred shots in each setting, all drawn from `JUDGE` (tests/photo/measured_cameras.py):
cameras of other makers, other lights, other sets of surfaces and other tone curves than what the
numbers in `brief/photo` were found by, which is `FIT`. How they were found is the last test here.
Takes about five minutes on a quiet machine. Run with
`python -m pytest tests/benchmarks/test_doubt_coverage.py -s`.

All settings together are to be covered by 87 to 94 in 100, groups of them by at most 95. What one
number cannot do is printed and not asserted: with nothing in the shot neither the tone
curve nor the exposure can be told, by a card neither the curve nor the camera's matrix, so that
those settings are covered by more than 94 or fewer than 87 in 100.
"""

from functools import cache

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.photo.correction.card import CARD_DELTA_E, CARDS, TYPICAL, _bradford
from brief.photo.correction.correction import NINE_IN_TEN, UNCORRECTED_PHOTO_DELTA_E
from brief.photo.correction.tone import fit_curve, straightened
from tests.photo.doubt import (
    FIXED,
    REFERENCES,
    SETTINGS,
    TWO_CARDS,
    measured,
    off_card,
    shots,
    survey,
    together,
)
from tests.photo.measured_cameras import FIT, JUDGE, true_xyz
from tests.photo.rendered_chart import wood_like

SHOTS = 100
GROUPS = {
    "all settings": SETTINGS,
    "no tone curve": [one for one in SETTINGS if one.tone == "none"],
    "medium curves": [one for one in SETTINGS if one.tone == "medium"],
    "strong curves": [one for one in SETTINGS if one.tone == "strong"],
    "daylight matrix": [one for one in SETTINGS if not one.own],
    "matrix per light": [one for one in SETTINGS if one.own],
}


@cache
def found(split, setting, count=SHOTS):
    return survey(split, setting, count)


def printed(name, reference, result):
    print(
        f"{name:34} {reference:30} {result.covered:6.1%} covered; 9 in 10 within "
        f"{np.quantile(result.off, 0.9):5.2f}, stated {result.stated.mean():5.2f}, "
        f"{1 / result.needed:.2f} times as wide as needed"
    )


@pytest.mark.parametrize("reference", REFERENCES)
def test_by_setting(reference):
    print()
    for setting in SETTINGS + FIXED:
        printed(str(setting), reference, found(JUDGE, setting)[reference])
    results = {
        name: together([found(JUDGE, one)[reference] for one in settings])
        for name, settings in GROUPS.items()
    }
    for name, result in results.items():
        printed(name, reference, result)
    truth = np.concatenate([xyz_to_lab(true_xyz(which)) for which in JUDGE.surfaces])
    printed("woods", reference, results["all settings"].only(wood_like(truth)))
    held = {
        "nothing": ["all settings", "medium curves"],
        "grey card 18 %": ["all settings", "no tone curve", "medium curves", "strong curves"],
        "white paper": ["all settings", "no tone curve", "medium curves", "strong curves"],
        TWO_CARDS: ["all settings", "no tone curve", "medium curves", "strong curves"],
        "chart": list(GROUPS),
    }
    assert 0.87 <= results["all settings"].covered <= 0.94
    for name in held[reference]:
        assert 0.87 <= results[name].covered <= 0.95, name
        assert 1 / results[name].needed <= 1.4, name


@pytest.mark.parametrize("setting", SETTINGS, ids=str)
def test_a_chart_holds_in_every_setting(setting):
    result = found(JUDGE, setting)["chart"]
    assert 0.87 <= result.covered <= 0.95
    assert 1 / result.needed <= 1.4


def test_how_the_numbers_were_found():
    """Nothing: 9 in 10 of `FIT`. A chart: more than that, so that it holds for odd sensors, too."""
    results = {
        reference: together([found(FIT, one, 60)[reference] for one in SETTINGS])
        for reference in ("nothing", "chart")
    }
    print()
    for reference, result in results.items():
        printed("to fit by", reference, result)
    needed = UNCORRECTED_PHOTO_DELTA_E * results["nothing"].needed
    assert needed == pytest.approx(UNCORRECTED_PHOTO_DELTA_E, rel=0.06)
    assert 0.8 * NINE_IN_TEN <= NINE_IN_TEN * results["chart"].needed <= NINE_IN_TEN


def test_how_the_typical_curve_was_found():
    """The least worst of none, medium and strong curves, by a grey card and by paper."""
    by_tone = {
        tone: [
            (*measured(shot, FIT, rng), [(card, off_card(shot, card, rng)) for card in CARDS])
            for setting in SETTINGS
            if setting.tone == tone
            for shot, rng in shots(FIT, setting, 24)
        ]
        for tone in ("none", "medium", "strong")
    }

    def worst(curve):
        """Off by 9 in 10, as a share of what is stated."""
        return max(
            np.quantile([off_by(curve, shot, index) for shot in those], 0.9)
            / np.hypot(CARD_DELTA_E, card.doubt)
            for those in by_tone.values()
            for index, card in enumerate(CARDS.values())
        )

    best = fit_curve(worst)
    print(f"\nfound {np.round(best, 2)}: {worst(best):.3f}; {TYPICAL}: {worst(TYPICAL):.3f}")
    print(f"none undone: {worst((1.0, 0.0)):.3f}")
    assert worst(TYPICAL) <= 1.05 * worst(best)
    assert worst(TYPICAL) <= 0.8 * worst((1.0, 0.0))


def off_by(curve, shot, index):
    seen, truth, cards = shot
    called, shown = cards[index]
    light = SRGB_TO_XYZ @ straightened(shown, curve)
    matrix = CARDS[called].reflectance / light[1] * _bradford(light / light[1]) @ SRGB_TO_XYZ
    xyz = np.maximum(straightened(seen, curve) @ matrix.T, 0)
    return delta_e_2000(xyz_to_lab(xyz), truth)
