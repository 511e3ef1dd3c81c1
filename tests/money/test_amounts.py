"""Amounts: read exactly, in the decimals of their currency, and parted without losing a coin."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brief.errors import InputError
from brief.money.amounts import (
    apportioned,
    check_currency,
    check_decimals,
    exact,
    figures,
    minor_units,
    money,
    read_amount,
)

# ISO 4217, list one, column "minor unit" (from memory); those that are not 2, and some that are.
MINOR_UNITS = {
    **dict.fromkeys(("EUR", "GBP", "USD", "CHF", "CAD", "AUD", "SEK", "PLN", "MGA", "MRU"), 2),
    **dict.fromkeys(("JPY", "KRW", "ISK", "CLP", "VND", "PYG", "UGX", "XOF", "XPF"), 0),
    **dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3),
    **dict.fromkeys(("CLF", "UYW"), 4),
}


@pytest.mark.parametrize(("currency", "places"), MINOR_UNITS.items())
def test_the_decimals_of_a_currency_are_those_of_iso_4217(currency, places) -> None:
    assert minor_units(currency) == places


@pytest.mark.parametrize("currency", ["XAU", "XXX", "DEM", "EURO", "eur", ""])
def test_gold_old_money_and_slips_are_no_currency(currency) -> None:
    with pytest.raises(InputError, match=r"is no currency in use\. Write its letters, such as EUR"):
        minor_units(currency)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("68.50", "68.5"),
        ("68,50", "68.5"),
        ("€ 1.234,50", "1234.5"),
        ("1,234.50 USD", "1234.5"),
        ("1 234,50 €", "1234.5"),
        ("0.10", "0.1"),
        ("£5 1/2", "5.5"),
        ("99999.99", "99999.99"),
    ],
)
def test_what_is_typed_is_read_to_the_last_coin(text, amount) -> None:
    assert read_amount(text) == Decimal(amount)


@pytest.mark.parametrize("text", ["1,234", "1.250", "12,5,0", "€ 5 EUR", "1/3", "cheap", "", "5e3"])
def test_what_could_mean_two_things_or_none_is_asked_about(text) -> None:
    with pytest.raises(InputError, match=r"Write \d"):
        read_amount(text)


def test_a_price_with_three_decimals_is_no_price_in_euros() -> None:
    check_decimals(Decimal("12.34"), "EUR")
    check_decimals(Decimal("12.345"), "TND")
    with pytest.raises(InputError, match=r"^EUR has 2 decimals; got 1.234. Write 1.23 or 1234.$"):
        check_decimals(Decimal("1.234"), "EUR")
    with pytest.raises(InputError, match=r"^JPY has no decimals; got 12.5. Write 12 or 12500.$"):
        check_decimals(Decimal("12.5"), "JPY")


def test_another_currency_is_refused_with_what_to_do() -> None:
    check_currency("€ 12", "EUR")
    check_currency("$12", "CAD")
    with pytest.raises(InputError, match=r"“12 GBP” names another currency than EUR. Write what"):
        check_currency("12 GBP", "EUR")


@given(st.decimals(0, 10_000_000, places=2))
def test_what_is_written_is_read_again(amount: Decimal) -> None:
    for currency in ("EUR", "KWD", "CLF"):
        assert read_amount(figures(amount, currency)) == amount
    assert read_amount(money(amount, "EUR").replace("\u00a0", " ")) == amount


@given(st.decimals(0, 10_000_000, places=4))
def test_a_number_of_json_loses_nothing(amount: Decimal) -> None:
    """A float with so few figures names one decimal number, and is written with its figures."""
    assert exact(float(amount)) == amount


def test_largest_remainder_by_a_worked_example() -> None:
    """100,000 votes for 10 seats, by the quota of Hare: the usual example (from memory)."""
    votes = [47_000, 16_000, 15_800, 12_000, 6_100, 3_100]
    seats = apportioned([Fraction(one, 10_000) for one in votes], Decimal(10), 0)
    assert seats == [5, 2, 1, 1, 1, 0]


@given(
    st.lists(st.fractions(-10_000, 100_000, max_denominator=997), min_size=1, max_size=9),
    st.sampled_from([0, 2, 3, 4]),
)
def test_parts_add_up_exactly_and_none_is_off_by_a_coin(parts, places) -> None:
    coin = Fraction(1, 10**places)
    total = Decimal(round(sum(parts) / coin)).scaleb(-places)
    kept = apportioned(parts, total, places)
    assert sum(kept) == total
    for part, amount in zip(parts, kept, strict=True):
        assert amount == round(amount, places)
        assert abs(Fraction(amount) - part) <= coin
