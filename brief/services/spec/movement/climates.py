"""The air that an instrument is in: in the workshop, on its way, at the venue."""

from __future__ import annotations

import re
from calendar import month_name
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from brief.errors import InputError, quoted
from brief.numerals import plain, read_number
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Line,
    Title,
    View,
    in_field,
    not_boolean,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Climate
from brief.wood.moisture import CELSIUS, HUMIDITY, equilibrium

Stage = Literal["workshop", "journey", "venue", "home"]
MONTHS = 12


def _as_text(given: object) -> object:
    """A number, or a list of them, is as good as its text."""
    if isinstance(given, list):
        return " ".join(map(str, given))
    return str(given) if isinstance(given, int | float) and not isinstance(given, bool) else given


Year = Annotated[Line, BeforeValidator(_as_text)]


class ClimateDraft(Draft):
    """A climate as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["the hall"])
    stage: Stage = Field(
        "venue", description="Where the instrument is in it; home: with whoever keeps it"
    )
    humidity: Year = Field(
        description="Relative humidity, percent: one number for the year, or twelve from January",
        examples=["45 %", "38 40 42 46 50 55 58 57 53 48 43 39"],
    )
    temperature: Year = Field(
        "20 °C",
        description="°C, or °F where the text says so: one number, or twelve from January",
        examples=["21", "70 °F"],
    )
    month: Annotated[int, Field(ge=1, le=MONTHS), not_boolean] | None = Field(
        None,
        description="The month that counts: of the workshop, when it is glued up; of others, when "
        "the instrument is there. null: the whole year",
    )


class ClimateView(View):
    """A climate as it is shown."""

    brief_id: Id
    name: str
    stage: Stage
    humidity: str = Field(description="As it was typed")
    temperature: str = Field(description="As it was typed")
    month: int | None
    humidity_percent: list[float] = Field(description="January to December")
    celsius: list[float] = Field(description="January to December")
    moisture: list[float] = Field(
        description="Equilibrium moisture content of wood, percent, January to December; a tenth "
        "means nothing"
    )
    words: str = Field(examples=["38 to 58 %, wood 7 to 11 %"])


@dataclass(frozen=True)
class Air:
    """One month in a climate. moisture : what wood comes to in it, percent."""

    where: str
    month: int
    all_year: bool
    humidity: float
    celsius: float
    moisture: float

    @property
    def words(self) -> str:
        """Where, and when if that matters: “the hall in January”."""
        return self.where if self.all_year else f"{self.where} in {month_name[self.month]}"


class Climates(Noun[Climate, ClimateView]):
    """The climates of a brief."""

    record, draft, view = Climate, ClimateDraft, ClimateView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Climate | None) -> Columns:
        """Read humidity and temperature, so that what is kept can be read; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        if "humidity" in fields:
            with in_field("humidity"):
                read_humidity(fields["humidity"])
        if "temperature" in fields:
            with in_field("temperature"):
                read_celsius(fields["temperature"])
        return dict(fields)

    def show(self, desk: Desk, record: Climate) -> ClimateView:
        """The climate, with what wood comes to in it."""
        year = year_of(record)
        return ClimateView(
            **view_fields(record, "brief_id", "name", "stage", "humidity", "temperature", "month"),
            humidity_percent=[round(one.humidity, 1) for one in year],
            celsius=[round(one.celsius, 1) for one in year],
            moisture=[round(one.moisture, 1) for one in year],
            words=_words(year),
        )


def year_of(record: Climate) -> list[Air]:
    """The twelve months of a climate."""
    humidity, celsius = read_humidity(record.humidity), read_celsius(record.temperature)
    all_year = len({*humidity}) == len({*celsius}) == 1
    return [
        Air(record.name, month, all_year, damp, warm, equilibrium(damp, warm))
        for month, (damp, warm) in enumerate(zip(humidity, celsius, strict=True), 1)
    ]


def counted(record: Climate) -> list[Air]:
    """The months of a climate that count."""
    year = year_of(record)
    return [year[record.month - 1]] if record.month else year


def read_humidity(text: str) -> list[float]:
    """Twelve relative humidities, percent. Raises InputError for what is none."""
    bare = re.sub(r"%\s*(?:rh)?|\brh\b", " ", plain(text))
    return _year(text, bare, HUMIDITY, "%", "45 %", "38 40 42 46 50 55 58 57 53 48 43 39")


def read_celsius(text: str) -> list[float]:
    """Twelve temperatures in °C, of a text that may have them in °F. Raises InputError."""
    said = plain(text)
    bare = re.sub(r"°\s*[cf]?|(?<=[\d\s])[cf]\b", " ", said)
    fahrenheit = bool(re.search(r"f\b", said))
    return _year(
        text, bare, CELSIUS, "°C", "21 °C", "18 18 19 20 21 22 23 23 21 20 19 18", fahrenheit
    )


def _year(
    text: str,
    bare: str,
    limits: tuple[float, float],
    unit: str,
    one: str,
    twelve: str,
    fahrenheit: bool = False,
) -> list[float]:
    """Twelve numbers, of a text that holds as many or one; `bare` is it without its unit."""
    found = [float(read_number(word, (), one)) for word in re.split(r"[;\s]+|,\s+", bare) if word]
    if len(found) not in (1, MONTHS):
        raise InputError(
            f"{quoted(text)} has {len(found)} numbers; give one, or twelve from January. "
            f"Write {one}, or {twelve}."
        )
    values = [(value - 32) / 1.8 if fahrenheit else value for value in found]
    least, most = limits
    for value, typed in zip(values, found, strict=True):
        if not least <= value <= most:
            warm = " Write 70 °F for Fahrenheit." if unit == "°C" and not fahrenheit else ""
            raise InputError(
                f"This must be {least:g} to {most:g} {unit}; got {typed:g}.{warm}".replace("-", "−")
            )
    return values if len(values) == MONTHS else values * MONTHS


def _words(year: Sequence[Air]) -> str:
    humidity = [round(one.humidity) for one in year]
    moisture = [round(one.moisture) for one in year]
    return f"{_from_to(humidity)} %, wood about {_from_to(moisture)} %"


def _from_to(values: Sequence[int]) -> str:
    least, most = min(values), max(values)
    return f"{least}" if least == most else f"{least} to {most}"


climates = Climates()
