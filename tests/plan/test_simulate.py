import numpy as np
import pytest
from scipy import integrate, stats

from brief.errors import InputError
from brief.plan.simulate import Estimate, Placed, Unbroken, drawn, over

from .test_network import AFTER, FIRST

RUNS = 200_000


def test_the_hours_of_a_stage_are_distributed_as_scipy_says():
    for a, m, b in ((2, 4, 12), (5, 5, 7), (1, 10, 17), (0, 3, 3)):
        (hours,) = drawn([Estimate(a, m, b)], 20_000)
        shape = (1 + 4 * (m - a) / (b - a), 1 + 4 * (b - m) / (b - a))
        known = stats.beta(*shape, loc=a, scale=b - a)
        assert stats.kstest(hours, known.cdf).pvalue > 0.01
        assert Estimate(a, m, b).mean == pytest.approx(known.mean())
        assert Estimate(a, m, b).variance == pytest.approx(known.var())


def test_a_stage_that_is_certain_takes_just_that():
    assert (drawn([Estimate(4, 4, 4)], 10) == 4).all()


def test_a_chain_has_the_sum_of_the_means_and_of_the_variances():
    # Exact: for stages one after the other both add up.
    chain = [Estimate(5, 8, 17), Estimate(3, 5, 7), Estimate(4, 6, 8), Estimate(3, 4, 5)]
    placed = [Placed(one, ((at - 1, 2.0),) if at else ()) for at, one in enumerate(chain)]
    ends = over(placed, drawn(chain, RUNS), Unbroken())
    mean = sum(one.mean for one in chain) + 6
    variance = sum(one.variance for one in chain)
    assert ends.mean() == pytest.approx(mean, abs=4 * (variance / RUNS) ** 0.5)
    assert ends.var() == pytest.approx(variance, rel=0.02)


def test_stages_beside_one_another_are_later_than_each_of_them():
    # Merge bias, against the integral over the highest of k draws of (2, 4, 12).
    one = Estimate(2, 4, 12)
    known = stats.beta(1.8, 4.2, loc=2, scale=10)
    for k in (1, 2, 3, 5):
        placed = [
            *(Placed(one) for _ in range(k)),
            Placed(Estimate(0, 0, 0), tuple((at, 0.0) for at in range(k))),
        ]
        ends = over(placed, drawn([stage.hours for stage in placed], RUNS), Unbroken())
        mean = 2 + integrate.quad(lambda x, k=k: 1 - known.cdf(x) ** k, 2, 12)[0]
        assert ends.mean() == pytest.approx(mean, abs=0.02)
        assert (ends <= 5).mean() == pytest.approx(known.cdf(5) ** k, abs=0.005)


def test_the_first_published_network_is_later_than_its_longest_way_says():
    # By the rule of thumb: 50.83, and 55 with a chance of 0.893. Simulated elsewhere with scipy:
    # 51.62, deviation 3.17, chance 0.852.
    names = list(FIRST)
    placed = [
        Placed(Estimate(*FIRST[name][0]), tuple((names.index(one), 0.0) for one in AFTER[name]))
        for name in names
    ]
    ends = over(placed, drawn([one.hours for one in placed], RUNS), Unbroken())
    assert ends.mean() == pytest.approx(51.62, abs=0.05)
    assert ends.std() == pytest.approx(3.17, abs=0.05)
    assert (ends <= 55).mean() == pytest.approx(0.852, abs=0.005)


def test_the_same_plan_has_the_same_chance_each_time():
    stages = [Estimate(1, 2, 5), Estimate(2, 2, 9)]
    np.testing.assert_array_equal(drawn(stages), drawn(stages))


def test_hours_spent_come_off_all_three_estimates():
    assert Estimate(2, 4, 12).less(3) == Estimate(0, 1, 9)
    assert Estimate(2, 4, 12).less(20) == Estimate(0, 0, 0)


@pytest.mark.parametrize("hours", [(-1, 2, 3), (3, 2, 4), (1, 5, 4), (float("nan"), 1, 2)])
def test_estimates_out_of_order_or_below_nothing_are_refused(hours):
    with pytest.raises(InputError, match="quick over likely to slow"):
        Estimate(*hours)
