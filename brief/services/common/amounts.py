"""Amounts and percentages as they are sent in: exact, as numbers or as people type them.

In JSON they are numbers: one that is read is taken by its figures, so that none is lost.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from pydantic import AfterValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from brief.errors import InputError, quoted
from brief.money.amounts import check_currency, check_decimals, exact, minor_units, read_amount
from brief.money.costing import MOST_SUM
from brief.numerals import LONGEST, read_number
from brief.services.common.field_types import Fields, Json, in_field

MOST_DECIMALS = 9  # finer than any coin, and than any share that can be measured


class TypedAmount(Decimal):
    """An amount, and the text that it was typed as."""

    text: str = ""


@dataclass(frozen=True)
class AnExact:
    """An exact number within limits, as a number or as a text: `Annotated[Decimal, AnExact(...)]`.

    units : what a text may name along with it. below : whether `most` itself is too much. What is
    sent has at most `MOST_DECIMALS`; a Decimal is what is kept, and shown as it is.
    """

    least: Decimal
    most: Decimal
    example: str
    units: tuple[str, ...] = ()
    below: bool = False

    def read(self, given: object) -> Decimal:
        """The number; of a text, as `TypedAmount`. Raises InputError for what is none."""
        if isinstance(given, str):
            text = " ".join(given.split())
            value: Decimal = TypedAmount(self.value_of(text))
            value.text = text  # type: ignore[attr-defined]
        elif isinstance(given, int | float | Decimal) and not isinstance(given, bool):
            value = self._of_number(given)
        else:
            raise InputError(f"This must be a number; got {quoted(given)}. Write {self.example}.")
        if not self.least <= value <= self.most or (self.below and value == self.most):
            to = "to below" if self.below else "to"
            raise InputError(
                f"This must be {self.least:,} {to} {self.most:,}; got {quoted(given)}. "
                f"Write {self.example}."
            )
        if not isinstance(given, Decimal) and value != round(value, MOST_DECIMALS):
            raise InputError(
                f"This has more than {MOST_DECIMALS} decimals; got {quoted(given)}. "
                f"Write {round(value, 2)}."
            )
        return value

    def value_of(self, text: str) -> Decimal:
        """The number that the text says; InputError if it says none."""
        return exact(read_number(text, self.units, self.example))

    def _of_number(self, given: int | float | Decimal) -> Decimal:
        try:
            value = Decimal(given) if isinstance(given, int | Decimal) else Decimal(repr(given))
        except ValueError:
            value = Decimal("inf")
        if not value.is_finite():
            raise InputError("This must be a finite number.")
        return exact(value) if self.least <= value <= self.most else value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        as_number = core_schema.plain_serializer_function_ser_schema(float, when_used="json")
        return core_schema.no_info_plain_validator_function(self.read, serialization=as_number)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> Json:
        most = "exclusiveMaximum" if self.below else "maximum"
        number: Json = {"type": "number", "minimum": float(self.least), most: float(self.most)}
        if handler.mode == "serialization":
            return number
        text = {"type": "string", "maxLength": LONGEST, "examples": [self.example]}
        return {"anyOf": [number, text]}


@dataclass(frozen=True)
class AnAmount(AnExact):
    """An amount of money; a text may name its currency, by its sign or by ISO 4217."""

    def value_of(self, text: str) -> Decimal:
        """The amount that the text says, without its currency; InputError if it is no price."""
        return read_amount(text, self.example)


def _currency(given: str) -> str:
    code = given.strip().upper()
    if not re.fullmatch("[A-Z]{3}", code):
        raise InputError("A currency is three letters, such as EUR or GBP")
    minor_units(code)
    return code


MOST = Decimal(MOST_SUM)
MOST_BOUGHT = 1000  # of one kind, for one instrument
HUNDRED = Decimal(100)
A_PRICE = AnAmount(Decimal(0), MOST, "68.50")
A_SHARE = AnExact(Decimal(0), HUNDRED, "40 %", ("%",))
Price = Annotated[Decimal, A_PRICE]
MOST_SHOWN = Decimal(10) ** 24  # a margin of nearly all makes any price as large as one likes
Money = Annotated[Decimal, AnAmount(-MOST_SHOWN, MOST_SHOWN, "68.50")]
"""A sum that was worked out, as it is shown; it may be negative."""
Share = Annotated[Decimal, A_SHARE]
"""Percent of a whole, 0 to 100."""
PriceShare = Annotated[Decimal, AnExact(Decimal(0), HUNDRED, "20 %", ("%",), below=True)]
"""Percent of a price, 0 to below 100."""
Currency = Annotated[str, AfterValidator(_currency)]


def check_amounts(fields: Fields, currency: str, *names: str) -> None:
    """Check that amounts that were sent are in this currency and no finer than its smallest coin.

    Raises InputError at the field.
    """
    for name in names:
        amount = fields.get(name)
        if amount is None:
            continue
        with in_field(name):
            if isinstance(amount, TypedAmount):
                check_currency(amount.text, currency)
            check_decimals(amount, currency)
