"""The verdict at the bench. The rules are our own; each is checked on both sides of its bound."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000, judge_pair, pair_harmony
from brief.colour.viewing.observer import (
    AREA_MM,
    FOUND,
    SHARE_OF_SPREAD,
    STANDS_OUT,
    USUAL_GRAIN,
    LinePiece,
    noise,
)
from brief.errors import ColourInputError

WALNUT, SHELL = [36, 9, 9], [84, 4, 20]  # invented
GRAIN = np.array([[36, 9, 9, 6], [40, 10, 12, 3], [30, 7, 7, 1]])
LABS = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
NO_PHOTOGRAPH = "No photograph of the wood: a typical pattern is assumed."
EVEN = LinePiece(np.zeros((1, 240, 3)), 1 / 6)
BENCH_M = 0.5


def needed(grain, level=STANDS_OUT, width_mm=AREA_MM):
    return level * float(noise(grain, width_mm, BENCH_M))


FROM_FOUND, FROM_STANDING_OUT = needed(USUAL_GRAIN, FOUND), needed(USUAL_GRAIN)


def apart_by(difference, ground=(50.0, 0.0, 0.0)):
    """A colour this far from the ground in lightness alone, found by halving."""
    low, high = ground[0], 100.0
    for _ in range(60):
        middle = (low + high) / 2
        near = delta_e_2000(ground, [middle, 0, 0]) < difference
        low, high = (middle, high) if near else (low, middle)
    return [high, 0, 0]


def test_shell_on_walnut_reads():
    verdict = judge_pair(WALNUT, SHELL, ground_cells=GRAIN, uncertainty=14)
    assert verdict.bench.reading == "reads"
    assert verdict.bench.difference.total == pytest.approx(float(delta_e_2000(WALNUT, SHELL)))
    assert verdict.bench.difference.lightness > 0
    assert verdict.bench.uncertainty == 14
    assert verdict.bench.drowned_share == 0
    assert verdict.sentence == (
        "Reads at the bench: contrast 44 ± 14, mostly in lightness; "
        f"it needs {verdict.bench.needed:.1f} to stand out."
    )


def test_without_a_piece_the_grain_is_a_share_of_the_spread():
    distances = delta_e_2000(GRAIN[:, :3], WALNUT)
    by_hand = np.sqrt((6 * distances[0] ** 2 + 3 * distances[1] ** 2 + distances[2] ** 2) / 10)
    verdict = judge_pair(WALNUT, SHELL, ground_cells=GRAIN)
    assert verdict.bench.grain == pytest.approx(SHARE_OF_SPREAD * by_hand)
    assert verdict.bench.needed == pytest.approx(needed(SHARE_OF_SPREAD * by_hand))


def test_an_even_timber_still_needs_what_the_eye_can_tell():
    verdict = judge_pair([50, 0, 0], apart_by(1.1), piece=EVEN, line_mm=1.0)
    assert verdict.bench.grain == pytest.approx(0, abs=1e-9)
    assert verdict.bench.needed == pytest.approx(needed(0, width_mm=1.0))
    assert verdict.bench.reading == "doubtful"
    assert verdict.sentence == (
        f"At the bench it is found only when looked for: contrast "
        f"{verdict.bench.seen:.1f}, and it needs {verdict.bench.needed:.1f} to stand out."
    )


def test_detectability_is_what_is_seen_over_the_noise():
    bench = judge_pair(WALNUT, SHELL, ground_cells=GRAIN, line_mm=0.7).bench
    assert bench.detectability == pytest.approx(bench.seen / float(noise(bench.grain, 0.7, 0.5)))
    assert bench.found == pytest.approx(bench.seen * FOUND / bench.detectability)
    assert bench.needed == pytest.approx(bench.seen * STANDS_OUT / bench.detectability)


@pytest.mark.parametrize(
    ("difference", "uncertainty", "reading"),
    [
        (FROM_STANDING_OUT + 0.01, 0, "reads"),
        (FROM_STANDING_OUT - 0.01, 0, "doubtful"),
        (FROM_FOUND + 0.01, 0, "doubtful"),
        (FROM_FOUND - 0.01, 0, "sinks"),
        (FROM_STANDING_OUT + 3.01, 3, "reads"),
        (FROM_STANDING_OUT + 2.99, 3, "doubtful"),
        (0.01, FROM_FOUND, "doubtful"),
        (0.1, FROM_FOUND - 0.11, "sinks"),
    ],
)
def test_the_bounds_are_met_with_the_uncertainty_against_them(difference, uncertainty, reading):
    verdict = judge_pair([50, 0, 0], apart_by(difference), uncertainty=uncertainty)
    assert verdict.bench.reading == reading


@pytest.mark.parametrize("spread", [4, 30])
def test_a_wilder_grain_asks_for_more(spread):
    """Two even cells, one of them off by the spread: root mean square = spread / √2."""
    cells = [[50, 0, 0, 1], [*apart_by(spread), 1]]
    verdict = judge_pair([50, 0, 0], apart_by(10), ground_cells=cells)
    assert verdict.bench.needed == pytest.approx(needed(SHARE_OF_SPREAD * spread / np.sqrt(2)))
    assert verdict.bench.reading == ("reads" if spread == 4 else "doubtful")


def streaked(period_mm, across=True):
    """A piece whose lightness goes up and down by 4: streaks along the line, or across it."""
    wave = 4 * np.sin(2 * np.pi * np.arange(240) / 6 / period_mm)
    rows = np.zeros((4, 240, 3))
    if across:  # each row of the piece then has a bit of every streak
        return LinePiece(rows, 1 / 6)
    rows[..., 0] = wave
    return LinePiece(rows, 1 / 6)


def test_streaks_that_run_with_the_line_hide_it_and_others_do_not():
    """The same pixels, turned: what they stray by is the same, the verdict is not."""
    ground, inlay = [50, 0, 0], apart_by(4)
    with_it, across = (
        judge_pair(ground, inlay, piece=streaked(2.3, turned), line_mm=1.0).bench
        for turned in (False, True)
    )
    assert (with_it.reading, across.reading) == ("doubtful", "reads")
    assert with_it.needed > 2 * across.needed


def test_slow_drift_does_not_hide_a_line():
    """Lightness that goes up by 16 over the piece: RMS pixels would have asked for 14."""
    rows = np.zeros((4, 240, 3))
    rows[..., 0] = np.linspace(-8, 8, 240)
    verdict = judge_pair([50, 0, 0], apart_by(4), piece=LinePiece(rows, 1 / 6), line_mm=1.0)
    assert verdict.bench.reading == "reads"


def test_the_line_is_told_from_the_wood_beside_it():
    """A piece lighter than its board, by 6: an inlay of its colour sinks there."""
    lighter = LinePiece(np.full((4, 240, 3), [6.0, 0, 0]), 1 / 6)
    bench = judge_pair([50, 0, 0], [56, 0, 0], piece=lighter, line_mm=1.0).bench
    assert bench.seen == pytest.approx(0, abs=1e-6)
    assert bench.difference.total > 5
    assert bench.reading == "sinks"


@pytest.mark.parametrize(("distance", "share"), [(5.01, 0), (4.99, 1)])
def test_grain_within_five_of_the_inlay_is_near_its_colour(distance, share):
    """Told, but no verdict follows from it."""
    cells = [[*apart_by(distance), 3.0]]
    assert judge_pair(SHELL, [50, 0, 0], ground_cells=cells).bench.drowned_share == share


def test_without_a_photograph_the_verdict_says_so():
    for inlay in (SHELL, [38, 9, 9], [36, 9, 9.2]):
        verdict = judge_pair(WALNUT, inlay, uncertainty=0.1)
        assert verdict.bench.grain is None
        assert verdict.bench.drowned_share is None
        assert NO_PHOTOGRAPH in verdict.sentence
    assert NO_PHOTOGRAPH not in judge_pair(WALNUT, SHELL, ground_cells=GRAIN).sentence
    assert NO_PHOTOGRAPH not in judge_pair(WALNUT, SHELL, piece=EVEN).sentence


def test_doubt_and_sinking_are_put_in_words():
    doubtful = judge_pair([50, 0, 0], apart_by(6), uncertainty=5)
    assert doubtful.sentence == (
        "Probably reads at the bench: contrast 6 ± 5, and it needs "
        f"{FROM_STANDING_OUT:.1f} to stand out. The readings leave this open. More readings of "
        f"both would decide it. {NO_PHOTOGRAPH}"
    )
    between = judge_pair([50, 0, 0], apart_by(1.3), uncertainty=1, photographed=True)
    assert between.sentence.startswith(
        "At the bench it is probably found only when looked for: contrast 1.3 ± 1.0, and it "
        f"needs {FROM_STANDING_OUT:.1f} to stand out. Photographs alone leave this open. A colour "
        "chart, card or meter reading would decide it."
    )
    faint = judge_pair([50, 0, 0], apart_by(0.3), uncertainty=1)
    assert faint.sentence.startswith(
        "May sink at the bench: contrast 0.3 ± 1.0, and it needs "
        f"{FROM_FOUND:.1f} to be found. The readings"
    )
    sunk = judge_pair([50, 0, 0], apart_by(0.3))
    assert sunk.sentence.startswith(
        f"Sinks at the bench: contrast 0.3, and it needs {FROM_FOUND:.1f} to be found."
    )


def test_harmony_is_ranked_among_the_rivals():
    total = float(pair_harmony(WALNUT, SHELL).total)
    rivals = total + np.array([-0.3, -0.2, -0.1, 0.0, 0.1])
    verdict = judge_pair(WALNUT, SHELL, rival_harmonies=rivals)
    assert verdict.bench.harmony.total == total
    assert verdict.better_than == 0.6  # an equal is not beaten
    assert verdict.rivals == 5
    assert verdict.standing == "3 of 5"


@pytest.mark.parametrize(
    ("beaten", "of", "words"),
    [
        (1, 1, "all of 1"),
        (14, 20, "7 in 10"),
        (199, 200, "9 in 10"),
        (1, 200, "1 in 10"),
        (200, 200, "all of 200"),
        (0, 200, "none of 200"),
    ],
)
def test_rank_in_words(beaten, of, words):
    rivals = np.where(np.arange(of) < beaten, -9.0, 9.0)
    assert judge_pair(WALNUT, SHELL, rival_harmonies=rivals).standing == words


@pytest.mark.parametrize("rivals", [None, []])
def test_no_rivals_no_rank(rivals):
    verdict = judge_pair(WALNUT, SHELL, rival_harmonies=rivals)
    assert (verdict.better_than, verdict.rivals) == (None, 0)
    assert verdict.standing == ""


@given(LABS, LABS, st.floats(0, 30))
def test_more_uncertainty_never_makes_a_verdict_surer(ground, inlay, uncertainty):
    sure, unsure = (judge_pair(ground, inlay, uncertainty=u) for u in (0, uncertainty))
    assert unsure.bench.reading in (sure.bench.reading, "doubtful")


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"ground": [[50, 0, 0]] * 2}, r"ground must have shape \(3,\) or \(1, 3\); got \(2, 3\)"),
        ({"inlay": [50, 0, np.nan]}, "inlay must be finite"),
        ({"uncertainty": -1}, "uncertainties must be numbers of 0 or more; got .*-1"),
        ({"uncertainty": float("nan")}, "uncertainties must be numbers of 0 or more; got .*nan"),
        ({"ground_cells": [50, 0, 0, 1]}, r"ground cells must have shape \(n, 4\); got \(4,\)"),
        ({"ground_cells": [[50, 0, 0]]}, r"ground cells must have shape \(n, 4\); got \(1, 3\)"),
        ({"ground_cells": [["oak"] * 4]}, "ground cells must be numbers"),
        ({"ground_cells": [[50, 0, np.nan, 1]]}, "ground cells must be finite"),
        ({"ground_cells": np.zeros((0, 4))}, "weights of 0 or more, not all of them 0"),
        ({"ground_cells": [[50, 0, 0, -1]]}, "weights of 0 or more, not all of them 0"),
        ({"ground_cells": [[50, 0, 0, np.inf]]}, "weights of 0 or more, not all of them 0"),
        ({"rival_harmonies": [[0.1]]}, r"one row of finite numbers; got shape \(1, 1\)"),
        ({"rival_harmonies": [np.nan]}, "one row of finite numbers"),
        ({"rival_harmonies": "oak"}, "rival harmonies must be numbers; got “oak”"),
    ],
)
def test_bad_input_is_refused(change, fault):
    with pytest.raises(ColourInputError, match=fault):
        judge_pair(**{"ground": WALNUT, "inlay": SHELL, **change})
