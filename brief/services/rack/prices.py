"""Prices as people type them, the currency along with them: €68, 68,50 EUR, $ 120."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from brief.errors import InputError, quoted
from brief.numerals import read_number
from brief.services.common.typed_numbers import ANumber

DOLLARS = ("USD", "CAD", "AUD", "NZD", "SGD", "HKD", "MXN", "BRL", "CLP", "COP", "ARS", "TWD")
SIGNS = {"€": ("EUR",), "£": ("GBP",), "$": DOLLARS, "¥": ("JPY", "CNY"), "₹": ("INR",)}
_NAMED = rf"[{''.join(SIGNS)}]|[A-Za-z]{{3}}"
_PRICE = re.compile(rf"(?:({_NAMED})\s*)?([^A-Za-z]*?)\s*({_NAMED})?")


@dataclass(frozen=True)
class APrice(ANumber):
    """A price; a text may name its currency, by its sign or by ISO 4217."""

    def value_of(self, text: str) -> float:
        """The amount that the text says, without its currency; InputError if it is no price."""
        match = _PRICE.fullmatch(text)
        if match is None or (match[1] and match[3]):
            raise InputError(f"{quoted(text)} is no price. Write {self.example}.")
        return float(read_number(match[2], example=self.example))


A_PRICE = APrice(0, 1e7, "68.50")
Price = Annotated[float, A_PRICE]


def check_currency(text: str, currency: str) -> None:
    """Raise InputError if a price as it was typed names another currency than this one."""
    match = _PRICE.fullmatch(text)
    named = (match and (match[1] or match[3])) or currency
    if currency not in SIGNS.get(named, (named.upper(),)):
        raise InputError(
            f"{quoted(text)} names another currency than {currency}. Change one of the two."
        )
