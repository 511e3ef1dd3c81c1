"""Single values as a column keeps them: figures with limits, texts with a form."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Annotated, Any

from pydantic import Field, PlainSerializer, PlainValidator, Strict

from brief.instrument.model.own_outline import MOST as MOST_STATIONS
from brief.services.common.typed_numbers import MOST_DAYS, MOST_HOURS

ULID = "^[0-7][0-9A-HJKMNP-TV-Z]{25}$"  # Crockford's base 32
# Prices were floats once, and are kept with all figures that these had.
EXACT = re.compile(r"^[0-9]{1,9}(\.[0-9]{1,30})?$")
MOST_MONEY = 10**9
FURTHEST = 1e6  # millimetres and the like; nothing that is made, measured or bought goes beyond
FiniteNumber = Annotated[float, Strict(), Field(ge=-FURTHEST, le=FURTHEST, allow_inf_nan=False)]
Count = Annotated[int, Strict(), Field(ge=0, le=10_000)]
Days = Annotated[int, Strict(), Field(ge=0, le=MOST_DAYS)]
HOURS = Annotated[float, Strict(), Field(ge=0, le=MOST_HOURS)]
Share = Annotated[float, Strict(), Field(ge=0, le=1)]
Percent = Annotated[float, Strict(), Field(ge=0, le=100)]
# CIEDE2000, or a coordinate of CIELAB, of which no colour has more than some hundreds.
Doubt = Annotated[float, Strict(), Field(ge=0, le=1000)]
Coordinate = Annotated[float, Strict(), Field(ge=-1000, le=1000)]
Flag = Annotated[bool, Strict()]
Title = Annotated[str, Strict(), Field(min_length=1, max_length=200)]
Line = Annotated[str, Strict(), Field(max_length=500)]
Sentence = Annotated[str, Strict(), Field(max_length=2000)]
Lab = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
Pair = Annotated[list[FiniteNumber], Field(min_length=2, max_length=2)]
Stations = Annotated[list[Pair], Field(max_length=MOST_STATIONS)]


def _exactly(value: Any) -> Decimal:
    """Of an earlier version's file it is a number, which counts by its figures."""
    if isinstance(value, str) and EXACT.fullmatch(value):
        made = Decimal(value)
    elif isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        made = Decimal(str(value))
    else:
        raise ValueError("this is no number in figures")
    if not made.is_finite() or not 0 <= made <= MOST_MONEY:
        raise ValueError(f"this must be 0 to {MOST_MONEY}")
    return made


# In a file it is a text, so that no reader makes it inexact.
ExactNumber = Annotated[
    Decimal,
    PlainValidator(
        _exactly,
        json_schema_input_type=Annotated[str, Field(pattern=EXACT.pattern)]
        | Annotated[float, Field(ge=0, le=MOST_MONEY)],
    ),
    PlainSerializer(lambda value: format(value.normalize(), "f"), str, when_used="json"),
]
