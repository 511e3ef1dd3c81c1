"""Colours combined and compared; the uncertainty is held against simulated truth."""

import math

import numpy as np
import pytest
from scipy import stats

from brief.colour import consensus, delta_e_2000
from brief.colour.consensus import Combined, LabShift, combine_colours, lab_shift
from brief.errors import ColourInputError

TRUTH = np.array([40.0, 12.0, 20.0])  # a mid brown
TRIALS = 500
REACH = math.sqrt(stats.f.ppf(0.95, 3, 1e9))


def alike_all_round(lab):
    """A matrix that turns errors alike in every direction into ones alike in CIEDE2000 at lab."""
    step = 1e-3
    steps = np.eye(3) * step
    squares = np.array([delta_e_2000(lab, lab + one) ** 2 for one in steps])
    mixed = np.array([[delta_e_2000(lab, lab + i + j) ** 2 for j in steps] for i in steps])
    metric = (mixed - squares[:, None] - squares[None, :]) / 2 / step**2
    return np.linalg.inv(np.linalg.cholesky((metric + metric.T) / 2))


def coverage(stated, unstated):
    """How often the truth lies within the uncertainty, and the mean of that uncertainty."""
    rng = np.random.default_rng(1932)
    spread = alike_all_round(TRUTH)
    each = np.hypot(stated, unstated) / REACH / math.sqrt(3)
    found = []
    for _ in range(TRIALS):
        labs = TRUTH + (rng.standard_normal((len(stated), 3)) * each[:, None]) @ spread
        combined = combine_colours(labs, stated)
        found.append((delta_e_2000(combined.lab, TRUTH), combined.uncertainty))
    off, said = np.transpose(found)
    return float((off <= said).mean()), float(said.mean())


def test_the_simulation_draws_what_it_says():
    """95 in 100 single colours lie within their stated uncertainty."""
    spread = alike_all_round(TRUTH)
    drawn = np.random.default_rng(5).standard_normal((20_000, 3)) * 3 / REACH / math.sqrt(3)
    off = delta_e_2000(TRUTH + drawn @ spread, TRUTH)
    assert (off <= 3).mean() == pytest.approx(0.95, abs=0.01)


@pytest.mark.slow
@pytest.mark.parametrize("unstated", [0, 2, 4, 12])
@pytest.mark.parametrize("stated", [[3, 3, 3], [2, 3, 4], [3] * 5])
def test_the_truth_is_covered_with_and_without_a_scatter_nobody_stated(stated, unstated):
    covered, _ = coverage(stated, unstated)
    assert covered >= 0.90


@pytest.mark.slow
@pytest.mark.parametrize("unstated", [0, 4, 8])
def test_two_colours_cover_it_nearly_as_often(unstated):
    covered, _ = coverage([3, 3], unstated)
    assert covered >= 0.88


@pytest.mark.slow
@pytest.mark.parametrize("unstated", [0, 2, 8])
def test_one_colour_said_to_be_surer_than_it_is_costs_some(unstated):
    covered, _ = coverage([1, 2.9], unstated)
    assert covered >= 0.77


@pytest.mark.parametrize(("stated", "said"), [([3, 3, 3], 3 / 3**0.5), ([3] * 5, 3 / 5**0.5)])
def test_more_colours_make_it_surer_where_they_agree(stated, said):
    covered, mean = coverage(stated, 0)
    assert covered <= 0.99  # not bought by saying too much
    assert said <= mean < 1.25 * said


def test_the_reach_comes_from_the_f_distribution():
    assert pytest.approx(REACH, abs=5e-4) == consensus._REACH
    for count, reach in consensus._REACH_FOUND.items():
        assert math.sqrt(stats.f.ppf(0.95, 3, 3 * (count - 1))) == pytest.approx(reach, abs=6e-4)
    assert math.sqrt(stats.f.ppf(0.95, 3, 27)) == pytest.approx(
        consensus._REACH_FOUND_MANY, abs=6e-4
    )


def test_alike_uncertainties_give_the_plain_mean_by_hand():
    combined = combine_colours([[40, 10, 18], [42, 11, 20]], [3, 3])
    assert combined.lab == pytest.approx((41, 10.5, 19))
    assert combined.uncertainty == pytest.approx(3 / math.sqrt(2))
    assert combined.disagreement == pytest.approx(
        max(delta_e_2000([[40, 10, 18], [42, 11, 20]], [41, 10.5, 19]))
    )
    assert combined.unstated == 0
    assert combined.set_aside == ()


def test_weights_go_by_the_inverse_squares_by_hand():
    """1/2² to 1/4² is 4 to 1; greys, so that lightness alone differs."""
    combined = combine_colours([[50, 0, 0], [51, 0, 0]], [2, 4])
    assert combined.lab == pytest.approx((50.2, 0, 0))
    assert combined.uncertainty == pytest.approx(1 / math.sqrt(1 / 4 + 1 / 16))
    assert combined.odd_one == 1


def test_weights_of_ones_own_multiply_those_by_hand():
    combined = combine_colours([[50, 0, 0], [51, 0, 0]], [2, 4], weights=[1, 4])
    assert combined.lab == pytest.approx((50.5, 0, 0))
    assert combined.uncertainty == pytest.approx(math.sqrt((2 / 2) ** 2 + (4 / 2) ** 2))
    as_they_were = combine_colours([[50, 0, 0], [51, 0, 0]], [2, 4], weights=[7, 7])
    assert as_they_were.lab == pytest.approx((50.2, 0, 0))


def test_a_scatter_nobody_stated_by_hand():
    """Mandel-Paule for two alike: half the square of their distance is the variance of each."""
    colours = [[50, 0, 0], [62, 0, 0]]
    combined = combine_colours(colours, [1, 1])
    apart = delta_e_2000(colours, combined.lab)
    variance = float((apart**2).sum())
    unstated = variance - (1 / REACH) ** 2
    assert combined.unstated == pytest.approx(REACH * math.sqrt(unstated), rel=1e-3)
    expected = math.sqrt((1 + stats.f.ppf(0.95, 3, 3) * unstated) / 2)
    assert combined.uncertainty == pytest.approx(expected, rel=1e-3)
    assert combined.uncertainty > combined.disagreement


def test_the_odd_one_out_is_named():
    combined = combine_colours([[50, 0, 0], [51, 0, 0], [30, 20, 5], [50, 1, 0]], [2] * 4)
    assert combined.odd_one == 2
    assert combined.uncertainty > 5


def test_a_poor_colour_neither_spoils_nor_widens_a_good_one_it_agrees_with():
    good = combine_colours([[40, 12, 20]], [2])
    both = combine_colours([[40, 12, 20], [46, 10, 17]], [2, 14])
    assert both.lab == pytest.approx(good.lab)
    assert both.uncertainty == pytest.approx(2)
    assert both.set_aside == (1,)
    assert both.disagreement > 4


def test_a_poor_colour_widens_a_good_one_where_they_cannot_both_be_right():
    both = combine_colours([[40, 12, 20], [75, 0, 0]], [2, 14])
    assert both.lab == pytest.approx((40, 12, 20))
    assert both.uncertainty == pytest.approx(math.sqrt(both.disagreement**2 - 14**2))
    assert both.odd_one == 1


def test_one_colour_stays_as_it_is_and_none_counts_as_exact():
    one = combine_colours([[40, 12, 20]], [2.5])
    assert one == Combined(one.lab, one.uncertainty, 0.0, 0, (), 0.0)
    assert one.lab == pytest.approx((40, 12, 20))
    assert one.uncertainty == pytest.approx(2.5)
    assert combine_colours([[40, 12, 20]], [0]).uncertainty == pytest.approx(0.5)
    even = combine_colours([[50, 0, 0], [50.4, 0, 0]], [0, 0.5])
    assert even.lab == pytest.approx((50.2, 0, 0))


def test_an_error_that_all_share_does_not_average_out():
    labs = [[40, 12, 20]] * 9
    alone = combine_colours(labs, [3] * 9)
    shared = combine_colours(labs, [3] * 9, shared=4)
    assert alone.uncertainty == pytest.approx(1)
    assert shared.uncertainty == pytest.approx(math.hypot(1, 4))


@pytest.mark.parametrize(
    ("arguments", "fault"),
    [
        (([], []), r"labs must have 3 numbers on its last axis; got \(0,\)"),
        (([50, 0, 0], [1]), r"labs must have shape \(n, 3\), n of 1 or more; got \(3,\)"),
        ((np.zeros((0, 3)), []), r"n of 1 or more; got \(0, 3\)"),
        (([[50, 0, np.nan]], [1]), "labs must be finite numbers"),
        (([[50, 0, 0]], [1, 2]), r"uncertainties must be 1 numbers, one a colour; got \(2,\)"),
        (([[50, 0, 0]], [-1]), "uncertainties must be 0 or more; got -1"),
        (([[50, 0, 0]], [np.inf]), "uncertainties must be 0 or more; got inf"),
        (([[50, 0, 0]], ["much"]), "uncertainties must be numbers; got"),
        (([[50, 0, 0]], [1], [0]), "weights must be 1e-09 or more; got 0"),
        (([[50, 0, 0]] * 2, [1, 1], [1]), "weights must be 2 numbers"),
    ],
)
def test_what_cannot_be_combined_is_refused(arguments, fault):
    with pytest.raises(ColourInputError, match=fault):
        combine_colours(*arguments)


@pytest.mark.parametrize("shared", [-1, np.nan, np.inf])
def test_a_shared_error_is_a_number_of_0_or_more(shared):
    with pytest.raises(ColourInputError, match="shared must be a number of 0 or more; got"):
        combine_colours([[50, 0, 0]], [1], shared=shared)


def test_a_finish_test_says_what_the_finish_did():
    shift = lab_shift([52, 14, 26], [43, 18, 31], 3, 4)
    assert shift == LabShift(-9, 4, 5, 5, float(delta_e_2000([52, 14, 26], [43, 18, 31])))
    np.testing.assert_allclose(shift.apply([60, 10, 20]), [51, 14, 25])
    everywhere = shift.apply(np.full((2, 4, 3), 50.0))
    np.testing.assert_allclose(everywhere, np.broadcast_to([41, 54, 55], (2, 4, 3)))


def test_a_shift_keeps_lightness_on_its_scale_and_the_colours_given_unchanged():
    before = np.array([[5.0, 1, 1], [99, 0, 0]])
    np.testing.assert_allclose(LabShift(-9, 0, 0, 1, 9).apply(before), [[0, 1, 1], [90, 0, 0]])
    np.testing.assert_allclose(LabShift(9, 0, 0, 1, 9).apply(before)[1], [100, 0, 0])
    np.testing.assert_allclose(before, [[5, 1, 1], [99, 0, 0]])


def test_a_shift_takes_two_colours_and_their_uncertainties():
    with pytest.raises(ColourInputError, match="before must be one colour"):
        lab_shift([[50, 0, 0]], [50, 0, 0])
    with pytest.raises(ColourInputError, match="after must be finite"):
        lab_shift([50, 0, 0], [50, 0, np.nan])
    with pytest.raises(ColourInputError, match="u_before must be a number of 0 or more; got -1"):
        lab_shift([50, 0, 0], [50, 0, 0], -1)
    with pytest.raises(ColourInputError, match="u_after must be a number of 0 or more; got nan"):
        lab_shift([50, 0, 0], [50, 0, 0], 1, np.nan)
    with pytest.raises(ColourInputError, match="Lab must have 3 numbers"):
        LabShift(0, 0, 0, 0, 0).apply([50, 0])
