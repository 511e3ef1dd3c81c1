"""What is asked, where it goes and what is left."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.errors import InputError
from brief.money.amounts import minor_units
from brief.money.costing import Costing, Hours, Overhead, Terms, costing

D = Decimal
ONE_HOUR = Hours(D(1), D(1), D(1))


def amounts(found: Costing) -> dict[str, Decimal]:
    return {one.what: one.amount for one in found.portions}


@pytest.mark.parametrize(
    ("cost", "margin", "price", "mark_up"),
    # Arithmetic: price = cost / (1 - margin), mark-up = margin / (1 - margin). A margin of 20 % is
    # a mark-up of 25 %, one of a third is a half, one of 50 % doubles the cost.
    [("80", "20", "100", "25"), ("60", "40", "100", "66.7"), ("75", "50", "150", "100")],
)
def test_a_margin_is_of_the_price_and_a_mark_up_of_the_cost(cost, margin, price, mark_up) -> None:
    found = costing(Terms("EUR", margin=D(margin)), D(cost), D(0), None)
    assert (found.price, found.margin, found.mark_up) == (D(price), D(margin), D(mark_up))


def test_a_whole_instrument_by_hand() -> None:
    """Worked by hand: 100 h at 30 are 3,000, overhead 25 % of it 750; with wood 320 and bought 230
    that is 4,300. At 6,000 the dealer keeps 20 %, 1,200, and 500 are left. An hour is worth what
    leaves nothing: (6,000 − 1,200 − 550) / (100 × 1.25) = 34. In 80 h it costs 3,550, in 130 h
    5,425.
    """
    terms = Terms("EUR", D(30), Overhead(share=D(25)), D(10), D(20), D(6000))
    found = costing(terms, D(320), D(230), Hours(D(80), D(100), D(130)))
    assert amounts(found) == {
        "wood": 320,
        "bought": 230,
        "commission": 1200,
        "overhead": 750,
        "hours": 3000,
        "left": 500,
    }
    assert (found.left, found.hour_worth) == (500, 34)
    assert (found.left_quick, found.left_slow) == (1250, -625)
    assert found.proposed == D("6142.86")  # 4,300 / 0.7, rounded up so that the margin is kept


def test_with_a_sum_for_overhead_and_no_rate_an_hour_still_has_a_worth() -> None:
    terms = Terms("EUR", overhead=Overhead(sum=D(400)), asking=D(2000))
    assert costing(terms, D(100), D(0), Hours(D(40), D(50), D(60))).hour_worth == 30


def test_at_what_an_hour_is_worth_nothing_is_left() -> None:
    terms = Terms("EUR", overhead=Overhead(share=D(50)), commission=D(25), asking=D(4000))
    hours = Hours(D(80), D(100), D(130))
    worth = costing(terms, D(100), D(50), hours).hour_worth
    paid = costing(replace(terms, rate=worth), D(100), D(50), hours)
    assert abs(paid.left) <= D("0.01") * 100


def test_costs_above_the_price_are_said_as_what_is_short() -> None:
    found = costing(Terms("EUR", D(50), asking=D(40)), D(10), D(0), ONE_HOUR)
    assert (found.left, amounts(found)["left"], found.margin) == (-20, -20, D(-50))


def test_nothing_known_costs_nothing() -> None:
    found = costing(Terms("EUR"), D(0), D(0), None)
    assert (found.price, found.left, found.hour_worth, found.margin) == (0, 0, None, None)


@pytest.mark.parametrize(("margin", "commission"), [(100, None), (None, 100), (60, 40)])
def test_margin_and_commission_that_take_the_whole_price_are_refused(margin, commission) -> None:
    shares = [None if one is None else D(one) for one in (margin, commission)]
    with pytest.raises(InputError, match="nothing pays for the work"):
        Terms("EUR", margin=shares[0], commission=shares[1])


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("", Overhead()),
        ("30 %", Overhead(share=D(30))),
        ("12,5%", Overhead(share=D("12.5"))),
        ("400", Overhead(sum=D(400))),
        ("€ 1.234,50", Overhead(sum=D("1234.5"))),
    ],
)
def test_overhead_is_a_share_or_a_sum(text, read) -> None:
    assert Overhead.read(text) == read
    assert Overhead.read(read.text) == read


@pytest.mark.parametrize("text", ["-30 %", "1001 %", "-4", "much", "30 % of it", "1,234"])
def test_overhead_that_is_neither_is_refused(text) -> None:
    with pytest.raises(InputError):
        Overhead.read(text)


money = st.decimals(0, 100_000, places=2)
share = st.decimals(0, 49, places=1)


@given(
    st.sampled_from(["EUR", "JPY", "TND", "CLF"]),
    st.none() | st.decimals(0, 200, places=2),
    share,
    share,
    st.none() | money,
    money,
    money,
    st.lists(st.decimals(0, 900, places=1), min_size=3, max_size=3),
)
def test_the_parts_are_the_price_whatever_the_terms(
    currency, rate, margin, commission, asking, wood, bought, hours
) -> None:
    places = minor_units(currency)
    asking = asking and round(asking, places)
    terms = Terms(currency, rate, Overhead(share=D(30)), margin, commission, asking)
    found = costing(terms, wood, bought, Hours(*sorted(hours)))
    assert sum(amounts(found).values()) == found.price
    assert found.cost + found.left == found.price
    assert found.left_quick >= found.left >= found.left_slow
    assert all(one.amount == round(one.amount, places) for one in found.portions)
    if asking is None:  # what the margin asks for keeps the margin, to a coin
        kept = Fraction(found.price) * Fraction(margin) / 100
        assert Fraction(found.left) >= kept - Fraction(2, 10**places)
