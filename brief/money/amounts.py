"""Amounts of money: read exactly, written as they are read again, parted without losing a cent."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from functools import lru_cache

from brief.errors import InputError, quoted
from brief.numerals import read_number

DOLLARS = ("USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN", "BRL", "CLP", "COP", "ARS", "TWD")
SIGNS = {"€": ("EUR",), "£": ("GBP",), "$": DOLLARS, "¥": ("JPY", "CNY"), "₹": ("INR",)}
_NAMED = rf"[{''.join(SIGNS)}]|[A-Za-z]{{3}}"
_PRICE = re.compile(rf"(?:({_NAMED})\s*)?([^A-Za-z]*?)\s*({_NAMED})?")


@lru_cache
def minor_units(currency: str) -> int:
    """How many decimals a currency has: 2 for EUR, 0 for JPY, 3 for TND.

    Raises InputError for what is no currency in use, or has no such unit, as gold (XAU).

    References
    ----------
    ISO 4217, list one, by the package iso4217.
    """
    from iso4217 import Currency  # reads its table as it loads

    try:
        places: int | None = Currency(currency).exponent
    except ValueError:
        places = None
    if places is None:
        raise InputError(
            f"{quoted(currency)} is no currency in use. Write its letters, such as EUR or GBP."
        )
    return places


def read_amount(text: str, example: str = "68.50") -> Decimal:
    """The amount that a text says, without its currency, exactly.

    Raises InputError, with `example` as the way out, for any other text.

    >>> read_amount("€ 1.234,50"), read_amount("68 GBP")
    (Decimal('1234.5'), Decimal('68'))
    """
    match = _PRICE.fullmatch(text)
    if match is None or (match[1] and match[3]):
        raise InputError(f"{quoted(text)} is no price. Write {example}.")
    return exact(read_number(match[2], example=example))


def exact(value: Fraction | Decimal | float) -> Decimal:
    """The same as a decimal number without noughts at its end; a float as it is written.

    Raises InputError for a fraction that no decimals end, such as 1/3.
    """
    if isinstance(value, Fraction):
        scaled = value * 10**20
        if scaled.denominator != 1:
            raise InputError(f"{value} has no end in decimals. Write {float(value):.2f}.")
        value = Decimal(scaled.numerator).scaleb(-20)
    made = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    # normalize() would round what is longer than 28 figures, which no amount here is.
    return Decimal(format(made.normalize() + 0, "f"))  # and nothing is not less than nothing


def check_currency(text: str, currency: str) -> None:
    """Raise InputError if a price as it was typed names another currency than this one."""
    match = _PRICE.fullmatch(text)
    named = (match and (match[1] or match[3])) or currency
    if currency not in SIGNS.get(named, (named.upper(),)):
        raise InputError(
            f"{quoted(text)} names another currency than {currency}. Write what it was in "
            f"{currency}, as your bank counted it."
        )


def check_decimals(amount: Decimal, currency: str) -> None:
    """Raise InputError for an amount finer than the smallest coin of its currency."""
    places = minor_units(currency)
    if amount != _rounded(amount, places):
        has = f"{places} decimals" if places else "no decimals"
        ways = [format(_rounded(amount, places), "f")]
        if amount * 1000 == int(amount * 1000):  # the mark may have been meant to part thousands
            ways.append(str(int(amount * 1000)))
        raise InputError(
            f"{currency} has {has}; got {format(amount, 'f')}. Write {' or '.join(ways)}."
        )


def rounded(amount: Fraction | Decimal, currency: str) -> Decimal:
    """To the smallest coin of the currency, the half to the even."""
    return _rounded(amount, minor_units(currency))


def _rounded(amount: Fraction | Decimal, places: int) -> Decimal:
    if isinstance(amount, Fraction):  # round() of a fraction takes the half to the even, too
        return Decimal(round(amount * 10**places)).scaleb(-places)
    return amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


def figures(amount: Decimal, currency: str) -> str:
    """An amount for a field, with the decimals of its currency, as `read_amount` reads it again.

    >>> figures(Decimal("1234.5"), "EUR"), figures(Decimal("1.5"), "KWD")
    ('1234.50', '1.5')
    """
    places = minor_units(currency)
    text = f"{amount:.{places}f}"
    # Three decimals that end in 0 could be thousands.
    return text.rstrip("0").rstrip(".") if places == 3 else text


def money(amount: Decimal, currency: str) -> str:
    """An amount in a sentence.

    >>> money(Decimal("-1234.5"), "EUR") == "−1,234.50" + chr(0xA0) + "EUR"
    True
    """
    return f"{amount:,.{minor_units(currency)}f}\u00a0{currency}".replace("-", "−")


def apportioned(parts: Sequence[Fraction], total: Decimal, places: int) -> list[Decimal]:
    """These parts in whole smallest coins which add up to the total exactly.

    By largest remainder: each is rounded down, and the coins that are left go to those that lost
    most by it; of equal ones, to the first.

    parts : they add up to `total` to within a coin each. total : in whole smallest coins.
    """
    coins = [part * 10**places for part in parts]
    kept = [coin.__floor__() for coin in coins]
    spare = int(total.scaleb(places)) - sum(kept)
    by_loss = sorted(range(len(parts)), key=lambda at: (kept[at] - coins[at], at))
    each, more = divmod(spare, len(parts)) if parts else (0, 0)
    for place, at in enumerate(by_loss):
        kept[at] += each + (place < more)
    return [Decimal(one).scaleb(-places) for one in kept]
