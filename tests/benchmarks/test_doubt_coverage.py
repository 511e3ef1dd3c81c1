"""Does the stated uncertainty hold for nothing, a grey card, paper, both and a chart in the shot?

A hundred shots in each setting, all drawn from `JUDGE` (tests/photo/measured_cameras.py):
cameras of other makers, other lights, other sets of surfaces and other tone curves than what the
numbers in `brief/photo` were found by, which is `FIT`. How they were found is told by
the last tests here. Takes about five minutes on a quiet machine. Run with
`python -m pytest tests/benchmarks/test_doubt_coverage.py -s`.

All settings together are to be covered by 87 to 94 in 100, groups of them by at most 95. What one
number cannot do is printed, and asserted only within `WIDEST`: with nothing in the shot neither the
tone curve nor the exposure can be told, by a card neither the curve nor the camera's matrix, so
that single settings are covered by more than 94 or fewer than 87 in 100. Least covered is a grey
card under a lamp with a strong curve and a daylight matrix, 84; without `strays`, and with one
number for every light, it was 78. Most covered are cameras whose curve is what was undone, 98, and,
with nothing in the shot, those without a curve whose exposure is right, 99.
"""

from functools import cache

import numpy as np
import pytest

from brief.colour import delta_e_2000, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ, XYZ_TO_SRGB
from brief.photo import LIGHTS, NOT_KNOWN
from brief.photo.correction.card import CARDS, TYPICAL, _bradford
from brief.photo.correction.correction import NINE_IN_TEN
from brief.photo.correction.light import grey_held
from brief.photo.correction.tone import curve_by_two, fit_curve, straightened
from tests.photo.doubt import (
    BY_LIGHT,
    FIXED,
    REFERENCES,
    SETTINGS,
    TWO_CARDS,
    measured,
    off_card,
    shots,
    survey,
    taken_by,
    together,
)
from tests.photo.measured_cameras import FIT, JUDGE, true_xyz
from tests.photo.rendered_chart import wood_like

SHOTS = 100
GREY, PAPER = "grey card 18 %", "white paper"
# In 100, by setting with the light told: what is aimed at is 87 to 94.
WIDEST = {
    "nothing": (0.83, 1.0),
    GREY: (0.82, 0.99),
    PAPER: (0.86, 0.98),
    TWO_CARDS: (0.83, 0.99),
}
GROUPS = {
    "all settings": SETTINGS,
    "no tone curve": [one for one in SETTINGS if one.tone == "none"],
    "medium curves": [one for one in SETTINGS if one.tone == "medium"],
    "strong curves": [one for one in SETTINGS if one.tone == "strong"],
    "daylight matrix": [one for one in SETTINGS if not one.own],
    "matrix per light": [one for one in SETTINGS if one.own],
}


@cache
def found(split, setting, count=SHOTS, light=NOT_KNOWN):
    return survey(taken_by(split, light), setting, count, light=light)


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


@pytest.mark.parametrize("light", ["daylight", "lamp"])
def test_with_the_light_told(light):
    print()
    for reference in BY_LIGHT:
        for setting in SETTINGS:
            result = found(JUDGE, setting, light=light)[reference]
            printed(f"{light}: {setting}", reference, result)
            least, most = WIDEST[reference]
            assert least <= result.covered <= most, setting
            assert 1 / result.needed <= 1.6, setting
        result = together([found(JUDGE, one, light=light)[reference] for one in SETTINGS])
        printed(light, reference, result)
        assert 0.87 <= result.covered <= 0.95, reference
        assert 1 / result.needed <= 1.2, reference


def test_how_the_number_of_a_chart_was_found():
    """More than 9 in 10 of `FIT`, so that it holds for odd sensors, too."""
    result = together([found(FIT, one, 60)["chart"] for one in SETTINGS])
    print()
    printed("to fit by", "chart", result)
    assert 0.8 * NINE_IN_TEN <= NINE_IN_TEN * result.needed <= NINE_IN_TEN


@pytest.mark.parametrize("light", LIGHTS)
def test_how_the_numbers_of_each_light_were_found(light):
    """Nothing: 9 in 10 of `FIT`. Cards: 87 in 100 of its most exacting setting, less their own."""
    figures = LIGHTS[light]
    rows = [found(FIT, one, 60, light) for one in SETTINGS]

    def exacting(reference, doubt):
        needed = max(np.quantile(row[reference].off, 0.87) for row in rows)
        return np.sqrt(needed**2 - doubt**2)

    nothing = together([row["nothing"] for row in rows])
    both = exacting(TWO_CARDS, CARDS[GREY].doubt)
    grey, white = (exacting(card, CARDS[card].doubt) for card in (GREY, PAPER))
    needed = nothing.stated.mean() * nothing.needed, grey, white, both
    print(f"\n{light}: {figures}\nneeded {np.round(needed, 2)}")
    assert nothing.needed == pytest.approx(1, abs=0.07)
    assert grey == pytest.approx(figures.grey.within, rel=0.07)
    assert white == pytest.approx(figures.white.within, rel=0.07)
    assert both == pytest.approx(figures.two_cards.within, rel=0.07)
    for reference, stated in (("nothing", figures.nothing), (GREY, figures.grey)):
        mean = together([row[reference] for row in rows]).off.mean()
        assert mean == pytest.approx(stated.residual, abs=0.4)


@pytest.mark.parametrize("light", ["not known", "lamp"])
def test_how_the_strays_were_found(light):
    """Nearly the least error on average by a grey card, by paper and by both; woods lose nothing.

    In daylight there are none: what is gained with some cameras is lost with others.
    """
    from scipy.optimize import minimize

    drawn = [
        (*measured(shot, FIT, rng), *(off_card(shot, card, rng) for card in (GREY, PAPER)))
        for setting in SETTINGS
        for shot, rng in shots(taken_by(FIT, light), setting, 12)
    ]
    ratio = CARDS[PAPER].reflectance / CARDS[GREY].reflectance

    def missed(strays, every=4):
        turn = (SRGB_TO_XYZ @ grey_held(strays) @ XYZ_TO_SRGB).T
        off = []
        for seen, truth, grey, paper in drawn:
            told = curve_by_two(*(SRGB_TO_XYZ[1] @ card for card in (grey, paper)), ratio)
            for card, called, curve in (
                (grey, GREY, TYPICAL),
                (paper, PAPER, TYPICAL),
                (grey, GREY, told),
            ):
                xyz = by_one(curve, seen[::every], card, CARDS[called].reflectance) @ turn
                off.append(delta_e_2000(xyz_to_lab(np.maximum(xyz, 0)), truth[::every]))
        return np.array(off)

    ours, none = LIGHTS[light].strays, np.zeros(6)
    options = {"maxfev": 60}
    best = minimize(lambda tried: missed(tried).mean(), ours, method="Powell", options=options)
    with_ours, without = missed(ours, 1), missed(none, 1)
    wood = wood_like(drawn[0][1])
    print(f"\n{light}: {with_ours.mean():.2f}, without {without.mean():.2f}; {np.round(best.x, 2)}")
    print(f"woods {with_ours[:, wood].mean():.2f}, without {without[:, wood].mean():.2f}")
    assert missed(ours).mean() <= 1.03 * best.fun
    assert with_ours.mean() <= 0.975 * without.mean()
    assert with_ours[:, wood].mean() <= 1.01 * without[:, wood].mean()


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
            / np.hypot(LIGHTS[NOT_KNOWN].grey.within, card.doubt)
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
    xyz = by_one(curve, seen, shown, CARDS[called].reflectance)
    return delta_e_2000(xyz_to_lab(np.maximum(xyz, 0)), truth)


def by_one(curve, seen, shown, reflectance):
    """XYZ of all that was seen, brought to daylight by a card."""
    light = SRGB_TO_XYZ @ straightened(shown, curve)
    matrix = reflectance / light[1] * _bradford(light / light[1]) @ SRGB_TO_XYZ
    return straightened(seen, curve) @ matrix.T
