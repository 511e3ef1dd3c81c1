"""The verdict at the bench. The rules are our own; each is checked on both sides of its bound."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.colour import delta_e_2000, judge_pair, pair_harmony
from brief.colour.verdict import DIFFERENT_COLOURS, TIMES_THE_GRAIN
from brief.errors import ColourInputError

WALNUT, SHELL = [36, 9, 9], [84, 4, 20]  # invented
GRAIN = np.array([[36, 9, 9, 6], [40, 10, 12, 3], [30, 7, 7, 1]])
LABS = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
NO_PHOTOGRAPH = "without a photograph of the timber the grain cannot be judged"


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
        "Stands clear of the timber at the bench: 44 ± 14 apart, mostly in lightness; "
        "none of the grain comes near it."
    )


def test_grain_is_the_weighted_root_mean_square():
    distances = delta_e_2000(GRAIN[:, :3], WALNUT)
    by_hand = np.sqrt((6 * distances[0] ** 2 + 3 * distances[1] ** 2 + distances[2] ** 2) / 10)
    verdict = judge_pair(WALNUT, SHELL, ground_cells=GRAIN)
    assert verdict.bench.grain == pytest.approx(by_hand)
    assert verdict.bench.needed == pytest.approx(TIMES_THE_GRAIN * by_hand)


def test_an_even_timber_still_needs_two_different_colours():
    verdict = judge_pair([50, 0, 0], [53, 0, 0], ground_cells=[[50, 0, 0, 1]])
    assert verdict.bench.grain == 0
    assert verdict.bench.needed == DIFFERENT_COLOURS
    assert verdict.bench.reading == "sinks"
    assert verdict.bench.drowned_share == 1  # the whole ground lies within 5 of the inlay
    assert verdict.sentence == (
        "Sinks into the figure: all of the timber's own grain is close to this colour; "
        "the two are 3.0 apart."
    )


@pytest.mark.parametrize(
    ("difference", "uncertainty", "reading"),
    [
        (5.01, 0, "reads"),
        (4.99, 0, "sinks"),
        (8.01, 3, "reads"),
        (7.99, 3, "doubtful"),
        (5.0, 3, "doubtful"),
        (2.01, 3, "doubtful"),
        (1.99, 3, "sinks"),
    ],
)
def test_the_bound_is_met_with_the_uncertainty_taken_off(difference, uncertainty, reading):
    verdict = judge_pair([50, 0, 0], apart_by(difference), uncertainty=uncertainty)
    assert verdict.bench.reading == reading


@pytest.mark.parametrize(("spread", "reading"), [(8, "reads"), (9, "doubtful")])
def test_a_wilder_grain_asks_for_more(spread, reading):
    """Two even cells, one of them off by the spread: root mean square = spread / √2."""
    cells = [[50, 0, 0, 1], [*apart_by(spread), 1]]
    verdict = judge_pair([50, 0, 0], apart_by(20), ground_cells=cells, uncertainty=2)
    assert verdict.bench.needed == pytest.approx(3 * spread / np.sqrt(2))
    assert verdict.bench.reading == reading


@pytest.mark.parametrize(("share", "reading"), [(0.24, "reads"), (0.26, "sinks")])
def test_more_than_a_quarter_drowned_sinks(share, reading):
    """An inlay 6 from the ground, streaks 1.2 from it: no great spread, yet they hide it."""
    streaks = [*apart_by(1.2), share]
    cells = [[50, 0, 0, 1 - share], streaks]
    verdict = judge_pair([50, 0, 0], apart_by(6), ground_cells=cells)
    assert verdict.bench.needed < verdict.bench.difference.total
    assert verdict.bench.drowned_share == pytest.approx(share)
    assert verdict.bench.reading == reading


@pytest.mark.parametrize(("distance", "share"), [(5.01, 0), (4.99, 1)])
def test_grain_within_five_of_the_inlay_is_drowned(distance, share):
    cells = [[*apart_by(distance), 3.0]]
    assert judge_pair(SHELL, [50, 0, 0], ground_cells=cells).bench.drowned_share == share


def test_without_a_photograph_the_verdict_says_so():
    for inlay in (SHELL, [40, 9, 9], [36, 9, 10]):
        verdict = judge_pair(WALNUT, inlay, uncertainty=2)
        assert verdict.bench.grain is None
        assert verdict.bench.drowned_share is None
        assert NO_PHOTOGRAPH in verdict.sentence.lower()
    known = judge_pair(WALNUT, SHELL, ground_cells=GRAIN).sentence.lower()
    assert NO_PHOTOGRAPH not in known


def test_doubt_and_sinking_are_put_in_words():
    doubtful = judge_pair([50, 0, 0], apart_by(6), uncertainty=3)
    assert doubtful.sentence == (
        "May sink into the timber: 6 ± 3 apart at the bench, and it takes 5 to be another colour. "
        "That is in doubt because readings may be off by that much; more readings of both can "
        "settle it. Without a photograph of the timber the grain cannot be judged."
    )
    cells = [[*apart_by(8), 1.0], [50, 0, 0, 9.0]]
    sunk = judge_pair([50, 0, 0], [45, 0, 0], ground_cells=[[50, 12, 0, 5], [50, -12, 0, 5]])
    assert sunk.sentence.startswith("Sinks into the timber at the bench: only 4.9 apart, and ")
    assert "this grain asks for 38; none of the grain comes near it." in sunk.sentence
    assert judge_pair([50, 0, 0], apart_by(20), ground_cells=cells).bench.reading == "reads"


@pytest.mark.parametrize("beyond", [1, -1])
def test_a_doubt_from_photographs_says_what_would_settle_it(beyond):
    """On either side of what the grain asks for; its streaks are darker, the inlay is lighter."""
    cells = [[50, 0, 0, 1], [42, 0, 0, 1]]
    needed = 3 * delta_e_2000(*np.array(cells)[:, :3]) / np.sqrt(2)
    verdict = judge_pair(
        [50, 0, 0], apart_by(needed + beyond), ground_cells=cells, uncertainty=14, photographed=True
    )
    assert verdict.bench.reading == "doubtful"
    assert verdict.sentence == (
        f"May sink into the timber: {needed + beyond:.0f} ± 14 apart at the bench, and this grain "
        f"asks for {needed:.0f}. That is in doubt because colours from photographs may be off by "
        "that much; a typed reading or a reference in the shot can settle it. None of the grain "
        "comes near it."
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
    assert sure.bench.reading in ("reads", "sinks")
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
