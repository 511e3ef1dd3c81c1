"""Pairs under conditions. The rules are our own; each condition is checked by hand."""

import numpy as np
import pytest

from brief.colour import delta_e_2000, judge_pair, lab_to_xyz, pair_harmony, xyz_to_lab
from brief.colour.spaces import SRGB_TO_XYZ
from brief.colour.verdicts.pairs import DOUBTFUL, READS, SINKS, pair_figures
from brief.colour.viewing.colour_vision import eyes, through
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.distance import line_as_seen
from brief.colour.viewing.light import light, under
from brief.colour.viewing.observer import LinePiece
from brief.errors import ColourInputError

WALNUT, SHELL, OAK = [36.0, 9, 9], [84.0, 4, 20], [27.0, 2, 2]  # invented
HALL = Condition("hall", "in the hall, from 2 m", 2.0, light=light("A"))
CELLS = np.array([[-4.0, 0, 0, 1], [4.0, 0, 0, 1], [0, 0, 0, 2]])
rng = np.random.default_rng(7)


def test_a_condition_is_its_transforms_one_after_the_other():
    seen_by = eyes("deutan")
    condition = Condition("all", "all", 2.0, "bare", light("LED-B3"), seen_by)
    figures = pair_figures([WALNUT], [SHELL], [condition], widths_mm=[0.5])
    ground, line = under(WALNUT, light("LED-B3")), under(SHELL, light("LED-B3"))
    left = through(line_as_seen(ground, line, 0.5, 2.0), seen_by)
    assert figures.seen[0, 0] == pytest.approx(float(delta_e_2000(through(ground, seen_by), left)))
    assert figures.harmony.total[0, 0] == pytest.approx(
        float(pair_harmony(through(ground, seen_by), through(line, seen_by)).total)
    )


def test_all_at_once_is_one_by_one():
    grounds = rng.uniform([20, 0, 0], [80, 20, 35], (5, 3))
    inlays = rng.uniform([20, 0, 0], [90, 20, 35], (5, 3))
    widths = [0.5, np.nan, 1.5, 0.3, np.nan]
    conditions = [BENCH, HALL, Condition("red", "red", eyes=eyes("protan"))]
    figure = np.broadcast_to(CELLS, (5, 3, 4)).copy()
    figure[4, :, 3] = 0  # its figure is not known
    kept = rng.uniform(0.2, 1, (3, 5))
    doubts = rng.uniform(0, 8, 5)
    whole = pair_figures(
        grounds, inlays, conditions,
        widths_mm=widths, uncertainties=doubts, figure=figure, kept=kept,
    )  # fmt: skip
    for k, condition in enumerate(conditions):
        for n in range(5):
            one = pair_figures(
                grounds[n : n + 1], inlays[n : n + 1], [condition],
                widths_mm=widths[n : n + 1], uncertainties=doubts[n], figure=figure[n : n + 1],
                kept=kept[k, n],
            )  # fmt: skip
            for name in (
                "seen",
                "seen_uncertainty",
                "grain",
                "found",
                "needed",
                "drowned_share",
                "reading",
            ):
                np.testing.assert_allclose(getattr(whole, name)[k, n], getattr(one, name)[0, 0])


def test_the_state_may_change_the_colours():
    finished = Condition("finished", "finished", state="finished")
    grounds = [[WALNUT], [[28.0, 11, 12]]]
    inlays = [[SHELL], [SHELL]]
    figures = pair_figures(grounds, inlays, [BENCH, finished])
    assert figures.difference.total[1, 0] == pytest.approx(float(delta_e_2000([28, 11, 12], SHELL)))


def test_a_lamp_adds_its_own_uncertainty_once():
    figures = pair_figures([WALNUT], [SHELL], [BENCH, HALL], uncertainties=3.0)
    assert figures.uncertainty[0, 0] == pytest.approx(3.0)
    left = figures.difference.total / figures.difference.total.max(axis=1, keepdims=True)
    assert left.max() == 1
    assert figures.uncertainty[1, 0] == pytest.approx(np.hypot(3.0, HALL.light.uncertainty))


def test_distance_takes_from_the_uncertainty_what_it_takes_from_the_line():
    away = Condition("away", "away", 4.0)
    figures = pair_figures([WALNUT], [SHELL], [away], widths_mm=[0.5], uncertainties=6.0)
    share = figures.seen / figures.difference.total
    assert figures.seen_uncertainty == pytest.approx(6.0 * share)


def test_figure_fades_as_is_said():
    near, far = pair_figures(
        [WALNUT], [SHELL], [BENCH, BENCH], figure=CELLS[np.newaxis], kept=[[1.0], [0.25]]
    ).grain[:, 0]
    assert far == pytest.approx(near / 4, rel=0.02)


def test_readings():
    figures = pair_figures(
        [WALNUT, WALNUT, WALNUT], [SHELL, [38.0, 9, 9], [36.5, 9, 9]], [BENCH], uncertainties=0.2
    )
    assert figures.reading[0].tolist() == [READS, DOUBTFUL, SINKS]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"conditions": []}, "at least one condition; got none"),
        ({"inlays": [SHELL, SHELL]}, "grounds and inlays must be as many; got 1 and 2"),
        ({"grounds": WALNUT}, r"grounds must have shape \(n, 3\) or \(1, n, 3\); got \(3,\)"),
        ({"widths_mm": [0]}, "widths must be 1 numbers above 0 mm, or NaN"),
        ({"widths_mm": [1, 2]}, "widths must be 1 numbers above 0 mm, or NaN"),
        ({"uncertainties": -1}, "uncertainties must be numbers of 0 or more; got -1"),
        ({"uncertainties": [1, 2]}, r"uncertainties must fit \(1, 1\); got shape \(2,\)"),
        ({"kept": 1.5}, "kept must be numbers of 0 or more and 1 at most; got 1.5"),
        ({"figure": [[1, 2, 3]]}, r"figure must have shape \(1, c, 4\); got \(1, 3\)"),
        ({"figure": [[[0, 0, 0, -1]]]}, "figure must be finite, with weights of 0 or more"),
    ],
)
def test_bad_input_is_refused(change, said):
    asked = {"grounds": [WALNUT], "inlays": [SHELL], "conditions": [BENCH]} | change
    with pytest.raises(ColourInputError, match=said):
        pair_figures(asked.pop("grounds"), asked.pop("inlays"), asked.pop("conditions"), **asked)


# The verdict over several conditions.


def test_it_holds_everywhere():
    verdict = judge_pair(WALNUT, SHELL, line_mm=2.0, conditions=[BENCH, HALL])
    assert [one.reading for one in verdict.seen] == ["reads", "reads"]
    assert verdict.worst.condition is HALL
    assert "It also reads elsewhere; weakest in the hall, from 2 m (" in verdict.sentence


def test_what_fades_with_the_distance_is_said_with_what_would_help():
    far = Condition("hall", "in the hall, from 2 m", 2.0)
    verdict = judge_pair([62, 13, 24], [59, 13, 23], line_mm=0.5, conditions=[BENCH, far])
    assert verdict.bench.reading == "reads"
    worst = verdict.worst
    assert (worst.reading, worst.condition) == ("sinks", far)
    assert worst.width_to_read > 0.5
    assert verdict.bench.distance_to_read < 2
    assert "But in the hall, from 2 m it sinks:" in verdict.sentence
    assert (
        f"A line from about {worst.width_to_read:.1f} mm wide would read there" in verdict.sentence
    )
    assert verdict.bench.names_colour
    assert not worst.names_colour


def test_no_width_reads_what_is_no_other_colour():
    verdict = judge_pair([50, 0, 0], [51, 0, 0], line_mm=0.5, conditions=[BENCH])
    assert verdict.bench.width_to_read is None
    assert verdict.bench.distance_to_read is None


def test_no_width_is_promised_where_the_figure_hides_a_line():
    """Streaks of every width that run with the line, as dark as it is pale."""
    rows = np.zeros((1, 240, 3))
    rows[0, :, 0] = 12 * np.sign(np.random.default_rng(3).normal(size=30).repeat(8))
    away = Condition("away", "from 3 m", 3.0)
    verdict = judge_pair(
        [50, 0, 0], [52, 0, 0], piece=LinePiece(rows, 1 / 6), line_mm=0.9, conditions=[BENCH, away]
    )
    assert verdict.seen[1].reading == "sinks"
    assert verdict.seen[1].width_to_read is None
    assert (
        "would read"
        not in judge_pair(
            [50, 0, 0],
            [52, 0, 0],
            piece=LinePiece(rows, 1 / 6),
            line_mm=0.9,
            conditions=[BENCH, away],
        ).sentence
    )


def test_a_light_that_eats_the_gap_is_named():
    sodium = Condition("street", "under the street lamp", light=light("HP1"))
    verdict = judge_pair([50, 37, -32], [50, -39, 40], conditions=[BENCH, sodium])
    gap = verdict.seen[1].difference.total / verdict.bench.difference.total
    assert gap < 0.8
    assert "The light alone cuts the contrast under the street lamp by about" in verdict.sentence


def test_eyes_to_which_it_is_lost_are_named():
    deutan = Condition("deutan", "to green-blind eyes", eyes=eyes("deutan"))
    # Another colour that differs in what these eyes lose: to their least singular value.
    lost = SRGB_TO_XYZ @ np.linalg.svd(eyes("deutan").matrix)[2][-1]
    ground = [50.0, 12, 22]
    inlay = xyz_to_lab(lab_to_xyz(ground) + 0.04 * lost)
    assert float(delta_e_2000(*through([ground, inlay], eyes("deutan")))) < 0.8
    verdict = judge_pair(ground, inlay, conditions=[BENCH, deutan])
    assert verdict.seen[1].reading == "sinks"
    assert "To green-blind eyes it sinks at the bench." in verdict.sentence
    assert verdict.worst.condition is deutan


def test_eyes_to_which_it_is_in_doubt_are_named_and_not_blamed_for_what_all_eyes_miss():
    far = Condition("far", "from 3 m", distance_m=3.0)
    hall = [BENCH, far, far.to(eyes("deutan"))]
    seen = [
        judge_pair([45, 14, 24], [45 + step, 14 - step / 2, 24], line_mm=0.8, conditions=hall)
        for step in np.linspace(2, 40, 39)
    ]
    eyes_alone = [one for one in seen if one.seen[2].rank[0] < one.seen[1].rank[0]]
    both = [one for one in seen if one.seen[1].rank[0] == one.seen[2].rank[0] < one.seen[0].rank[0]]
    assert eyes_alone
    assert both
    for one in eyes_alone:
        assert f"To green-blind eyes it {one.seen[2].does} from 3 m." in one.sentence
        assert "It also reads elsewhere; " not in one.sentence
    assert {one.worst.condition for one in both} == {far}


def test_what_sinks_at_the_bench_may_do_better_elsewhere():
    finished = Condition("finished", "finished", state="finished")
    verdict = judge_pair([[50, 0, 0], [35, 0, 0]], [50.5, 0, 0], conditions=[BENCH, finished])
    assert verdict.bench.reading == "sinks"
    assert verdict.sentence.endswith("It does best finished.")
    nowhere = judge_pair([50, 0, 0], [50.5, 0, 0], conditions=[BENCH, finished])
    assert nowhere.sentence.endswith("It also sinks everywhere else.")


def test_colours_must_fit_the_conditions():
    with pytest.raises(ColourInputError, match=r"ground must have shape \(3,\) or \(2, 3\)"):
        judge_pair([WALNUT] * 3, SHELL, conditions=[BENCH, HALL])


@pytest.mark.parametrize("doubt", [0.0, 2.0, 4.0])
def test_what_is_promised_of_a_line_has_the_doubt_taken_off(doubt):
    """A line of that width, or from that far, is just judged to read."""
    far = Condition("far", "far", 2.0)
    ground, inlay = [62, 13, 24], [46, 14, 18]
    asked = {"uncertainty": doubt, "conditions": [BENCH, far]}
    promised = judge_pair(ground, inlay, line_mm=0.5, **asked).seen[1].width_to_read
    for width, reading in ((promised * 1.01, "reads"), (promised * 0.97, "doubtful")):
        seen = judge_pair(ground, inlay, line_mm=width, **asked).seen[1]
        assert seen.reading == reading or (doubt == 0 and seen.reading == "sinks")
    reach = judge_pair(ground, inlay, line_mm=0.5, **asked).bench.distance_to_read
    there = Condition("there", "there", reach * 0.99)
    judged = judge_pair(ground, inlay, line_mm=0.5, uncertainty=doubt, conditions=[BENCH, there])
    assert judged.seen[1].reading == "reads"
