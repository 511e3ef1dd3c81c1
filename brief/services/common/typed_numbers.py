"""Numbers as they are sent in: as numbers, or as people type them, with a unit if they like.

A length that was typed in another way than this program would write it is kept as typed beside
its number, in the column `as_typed` of its record, so that whoever thinks in inches gets inches
back. The text counts only while it says the number: whatever else changes the number need not
know of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from brief.errors import InputError, quoted
from brief.lengths import read_length, unit_of, write_length
from brief.numerals import LONGEST, read_number
from brief.services.common.field_types import Columns, Json
from brief.store.records import LengthsAsTyped, Record

LengthUnit = Literal["mm", "m"]
LEAST_MM, MOST_MM = 0.0001, 10_000
"""From beaten gold leaf (common practice, no source) to what no bench holds. No size comes so near
to nought that what is divided by it has no end."""


class Typed(float):
    """A number, and the text that it was typed as."""

    text: str

    def __new__(cls, value: float, text: str) -> Typed:
        """Keep the text beside the number."""
        made = super().__new__(cls, value)
        made.text = text
        return made


@dataclass(frozen=True)
class ANumber:
    """A number within limits, as a number or as a text: `Annotated[float, ANumber(...)]`.

    units : what a text may name along with it, in small letters. unit : what is said behind it in
    a sentence.
    """

    least: float
    most: float
    example: str
    units: tuple[str, ...] = ()
    unit: str = ""

    def read(self, given: object) -> float:
        """The number; of a text, as `Typed`. Raises InputError for what is none."""
        if isinstance(given, str):
            text = " ".join(given.split())
            value: float = Typed(self.value_of(text), text)
        elif isinstance(given, int | float) and not isinstance(given, bool):
            value = given if isinstance(given, float) else _as_float(given)
        else:
            raise InputError(f"This must be a number; got {quoted(given)}. Write {self.example}.")
        if not math.isfinite(value):
            raise InputError("This must be a finite number.")
        if not self.least <= value <= self.most:
            raise InputError(
                f"This must be {self.least:.15g} to {self.most:.15g}"
                f"{f' {self.unit}' if self.unit else ''}; got {quoted(given)}."
            )
        return value

    def value_of(self, text: str) -> float:
        """The number that the text says; InputError if it says none."""
        return float(read_number(text, self.units, self.example))

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> Json:
        number: Json = {"type": "number", "minimum": self.least, "maximum": self.most}
        if handler.mode == "serialization":
            return number
        if self.unit:
            number["description"] = f"In {self.unit}, or as a text with its unit"
        return {
            "anyOf": [
                number,
                {"type": "string", "maxLength": LONGEST, "examples": [self.example]},
            ]
        }


@dataclass(frozen=True)
class ALength(ANumber):
    """A length in `unit`, which is also meant where a text names none."""

    unit: LengthUnit = "mm"

    def value_of(self, text: str) -> float:
        """The length that the text says, mm; InputError if it says none."""
        return float(read_length(text, self.unit))


def _as_float(given: int) -> float:
    try:
        return float(given)
    except OverflowError:
        return math.copysign(math.inf, given)


Size = Annotated[float, ALength(LEAST_MM, MOST_MM, "25 1/2 in")]
SentNumber = Annotated[float, ALength(-1e6, 1e6, "25 1/2 in")]
"""A number of an instrument, whose own limits are checked where it is known which it is."""
KnownLength = Annotated[float, ALength(0.1, MOST_MM, "4 in")]
MOST_HOURS, MOST_DAYS = 2000, 730
"""Of one stage, and of one wait; beyond it a figure was meant for something else."""
Hours = Annotated[float, ANumber(0, MOST_HOURS, "6", ("h", "hour", "hours"), "h")]
WaitDays = Annotated[float, ANumber(0, MOST_DAYS, "14", ("d", "day", "days"), "days")]
empty_is_none = BeforeValidator(
    lambda given: None if isinstance(given, str) and not given.strip() else given
)
Texts = Annotated[
    dict[str, str],
    Field(
        description="Lengths that were typed in another way than as this number: their text",
        examples=[{"line_mm": "1/32 in"}],
    ),
]


def unit_in(field: str) -> LengthUnit:
    """The unit that the name of a field ends in: "distance_m" is in metres."""
    return "m" if field.endswith("_m") else "mm"


def text_kept(value: object) -> str | None:
    """The text to keep beside a value that was sent in, if it says more than the number."""
    if isinstance(value, Typed) and value.text != write_length(value):
        return value.text
    return None


def keeping_texts(record: type[Record], fields: Mapping[str, Any], before: Any) -> Columns:
    """The fields of a record to be stored, their lengths as plain numbers and the texts beside.

    before : the texts that are there already.
    """
    plain = {
        name: float(value) if isinstance(value, Typed) else value for name, value in fields.items()
    }
    if issubclass(record, LengthsAsTyped) and "as_typed" not in fields:
        told = {name: text_kept(value) for name, value in fields.items()}
        left = {name: text for name, text in before.items() if name not in told}
        plain["as_typed"] = left | {name: text for name, text in told.items() if text}
    return plain


def texts_of(record: LengthsAsTyped) -> dict[str, str]:
    """What was typed for the lengths of a record, as far as it still says them."""
    texts = record.as_typed if isinstance(record.as_typed, dict) else {}
    return still_true(texts, {name: getattr(record, name, None) for name in texts})


def still_true(texts: Any, values: Mapping[str, Any], within: float = 0.0) -> dict[str, str]:
    """Those of the texts kept by field, whatever a file had in their place, that say the value."""
    return {
        name: text
        for name, text in (texts.items() if isinstance(texts, dict) else ())
        if isinstance(text, str)
        and isinstance(values.get(name), int | float)
        and _says(text, name, values[name], within)
    }


def _says(text: str, field: str, value: float, within: float) -> bool:
    try:
        return abs(float(read_length(text, unit_in(field))) - value) <= within
    except InputError:
        return False


def briefly(record: LengthsAsTyped, field: str) -> str:
    """A length of a record for the middle of a sentence: "10 ft", or else "3.05 m"."""
    text = texts_of(record).get(field)
    if text is not None and unit_of(text) is not None:
        return text
    return f"{getattr(record, field):.4g} {unit_in(field)}"


def as_said(text: str | None, value: str, unit: str) -> str:
    """A length for a sentence: as it was typed, with the number beside where it names another
    unit than that. value : as it would be written without.

    >>> as_said("1/32 in", "0.79", "mm"), as_said("0,8", "0.8", "mm")
    ('1/32 in (0.79\\xa0mm)', '0.8\\xa0mm')
    """
    number = f"{value}\u00a0{unit}"
    return f"{text} ({number})" if other_unit(text, unit) else number


def other_unit(text: str | None, unit: str = "mm") -> str | None:
    """The text of a length if it names another unit than that."""
    return text if text is not None and unit_of(text) not in (None, unit) else None
