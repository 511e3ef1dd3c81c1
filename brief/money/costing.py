"""What an instrument costs, what to ask for it, and what is left of the price.

The price is parted into wood, what is bought, the dealer's commission, overhead, hours, and what is
left. A margin is a share of the price, not of the cost: with costs of 80 a margin of 20 % asks 100,
where a mark-up of 20 % would ask 96 (arithmetic).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Literal

from brief.errors import InputError, quoted
from brief.money.amounts import apportioned, exact, minor_units, read_amount, rounded
from brief.numerals import read_number

What = Literal["wood", "bought", "commission", "overhead", "hours", "left"]
NONE = Decimal(0)
MOST_SUM = 10_000_000


MOST_OVERHEAD = 1000  # percent


@dataclass(frozen=True)
class Overhead:
    """Rent, tools, insurance: `share` of what the hours cost, in percent, or a sum."""

    share: Decimal = NONE
    sum: Decimal = NONE

    @classmethod
    def read(cls, text: str) -> Overhead:
        """Of a text: "30 %", "400", or nothing. Raises InputError for any other."""
        if not text.strip():
            return cls()
        if "%" in text:
            share = exact(read_number(text, ("%",), "30 % or 400"))
            if not 0 <= share <= MOST_OVERHEAD:
                raise InputError(
                    f"Overhead is 0 to {MOST_OVERHEAD} % of the hours; got {quoted(text)}."
                )
            return cls(share=share)
        total = read_amount(text, "30 % or 400")
        if not 0 <= total <= MOST_SUM:
            raise InputError(f"This must be 0 to {MOST_SUM}; got {quoted(text)}.")
        return cls(sum=total)

    @property
    def text(self) -> str:
        """As `read` reads it."""
        if self.share:
            return f"{format(self.share, 'f')} %"
        return format(self.sum, "f") if self.sum else ""


@dataclass(frozen=True)
class Terms:
    """A maker's own terms. margin, commission : percent of the price, together below 100.

    asking : the price that is asked; None leaves it to the margin. Raises InputError.
    """

    currency: str
    rate: Decimal | None = None
    overhead: Overhead = Overhead()
    margin: Decimal | None = None
    commission: Decimal | None = None
    asking: Decimal | None = None

    def __post_init__(self) -> None:
        check_shares(self.margin, self.commission)


@dataclass(frozen=True)
class Hours:
    """At the bench, those already worked, too."""

    quick: Decimal
    likely: Decimal
    slow: Decimal


@dataclass(frozen=True)
class Portion:
    """A part of the asking price. `amount` may be negative for what is left."""

    what: What
    amount: Decimal


@dataclass(frozen=True)
class Costing:
    """What is asked, and where it goes; in smallest coins of the currency.

    portions : they add up to `price` exactly. cost : all but what is left. proposed : the price
    that costs, margin and commission ask for. cost_quick, cost_slow : as `cost`, if the hours are
    those. hour_worth : what an hour can be paid at that price with nothing left and nothing lost;
    None without hours. margin, mark_up : what is left, in percent of the price and of all costs.
    """

    currency: str
    price: Decimal
    asked: bool
    proposed: Decimal
    portions: Sequence[Portion]
    cost: Decimal
    cost_quick: Decimal
    cost_slow: Decimal
    hour_worth: Decimal | None
    margin: Decimal | None
    mark_up: Decimal | None

    @property
    def left(self) -> Decimal:
        """What is left if the hours are as likely."""
        return self.price - self.cost

    @property
    def left_quick(self) -> Decimal:
        """What is left if it goes quickly."""
        return self.price - self.cost_quick

    @property
    def left_slow(self) -> Decimal:
        """What is left if it goes slowly."""
        return self.price - self.cost_slow


def check_shares(margin: Decimal | None, commission: Decimal | None) -> None:
    """Raise InputError unless margin and commission, percent of the price, leave some of it."""
    if (margin or NONE) + (commission or NONE) >= 100:
        raise InputError(
            "Margin and commission together take the whole price, and nothing pays for the work. "
            "Both are shares of the price, such as 15 and 30."
        )


def costing(terms: Terms, wood: Decimal, bought: Decimal, hours: Hours | None) -> Costing:
    """What it costs and what is left. wood, bought : amounts, ≥ 0. hours : None while not known."""
    currency = terms.currency
    known = hours or Hours(NONE, NONE, NONE)
    goods = Fraction(wood) + Fraction(bought)
    commission_share = Fraction(terms.commission or NONE) / 100
    kept_share = 1 - commission_share - Fraction(terms.margin or NONE) / 100
    work = {name: _work(terms, getattr(known, name)) for name in ("quick", "likely", "slow")}

    proposed = _rounded_up((goods + sum(work["likely"])) / kept_share, currency)
    price = proposed if terms.asking is None else terms.asking
    commission = Fraction(price) * commission_share
    pay, overhead = work["likely"]
    parts: dict[What, Fraction] = {
        "wood": Fraction(wood),
        "bought": Fraction(bought),
        "commission": commission,
        "overhead": overhead,
        "hours": pay,
    }
    parts["left"] = Fraction(price) - sum(parts.values())
    amounts = apportioned([*parts.values()], price, minor_units(currency))
    portions = [Portion(what, one) for what, one in zip(parts, amounts, strict=True)]
    left = amounts[-1]
    cost = price - left

    def at(name: str) -> Decimal:
        # By as much as it differs from the likely one, so that equal hours cost the same coin.
        more = sum(work[name], Fraction(0)) - sum(work["likely"], Fraction(0))
        return cost + rounded(more, currency)

    return Costing(
        currency=currency,
        price=price,
        asked=terms.asking is not None,
        proposed=proposed,
        portions=portions,
        cost=cost,
        cost_quick=at("quick"),
        cost_slow=at("slow"),
        hour_worth=_hour_worth(terms, Fraction(price) - commission - goods, known.likely),
        margin=_percent(left, price),
        mark_up=_percent(left, cost),
    )


def _work(terms: Terms, hours: Decimal) -> tuple[Fraction, Fraction]:
    """What so many hours cost, and their overhead."""
    pay = Fraction(terms.rate or NONE) * Fraction(hours)
    return pay, pay * Fraction(terms.overhead.share) / 100 + Fraction(terms.overhead.sum)


def _hour_worth(terms: Terms, over: Fraction, hours: Decimal) -> Decimal | None:
    """over : what commission and goods leave of the price."""
    if hours <= 0:
        return None
    each = Fraction(hours) * (1 + Fraction(terms.overhead.share) / 100)
    return rounded((over - Fraction(terms.overhead.sum)) / each, terms.currency)


def _rounded_up(amount: Fraction, currency: str) -> Decimal:
    """So that the margin is kept."""
    places = minor_units(currency)
    return Decimal(ceil(amount * 10**places)).scaleb(-places)


def _percent(part: Decimal, whole: Decimal) -> Decimal | None:
    if whole <= 0:
        return None
    return Decimal(round(Fraction(part) / Fraction(whole) * 1000)).scaleb(-1)
