"""The numbers of an instrument: those of its kind, and those the maker has changed."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, Field

from brief.errors import InputError
from brief.instrument import Preset
from brief.instrument.shape import shaped
from brief.instrument.sizes import numbers
from brief.services.known_kinds import base_of
from brief.services.noun import Noun, etag_of
from brief.store.desk import Desk
from brief.store.records import Brief

MM_PER_INCH = 25.4
_INCHES = re.compile(
    r"([\d.,]+)?(?:(?<=\d)-(?=\d+\s*/))?\s*(?:(\d+)\s*/\s*(\d+))?\s*(?:in|inch|inches|[\"″”])\.?"
)
_MILLIMETRES = re.compile(r"([\d.,]+)\s*(?:mm)?")


class NumberView(BaseModel):
    name: str = Field(examples=["scale_mm"])
    label: str
    part: str
    unit: str
    value: float
    usual: float = Field(description="That of its kind of instrument")
    least: float
    most: float
    changed: bool


class NumbersView(BaseModel):
    etag: str = Field(description="That of the brief; send it back as If-Match with a change")
    numbers: list[NumberView]


def instrument_of(brief: Brief) -> Preset:
    """The brief's instrument: its kind, with the numbers that the maker has changed."""
    return shaped(base_of(brief), brief.numbers)


def numbers_view(brief: Brief) -> NumbersView:
    usual = {one.name: one for one in numbers(base_of(brief))}
    return NumbersView(
        etag=etag_of(brief),
        numbers=[
            NumberView(
                name=one.name,
                label=one.label,
                part=one.part,
                unit=one.unit,
                value=one.value,
                usual=usual[one.name].value,
                least=usual[one.name].least,
                most=usual[one.name].most,
                changed=one.name in brief.numbers,
            )
            for one in numbers(instrument_of(brief))
        ],
    )


def change_numbers(
    desk: Desk, brief_id: str, etag: str, changes: Mapping[str, float | str | None]
) -> NumbersView:
    """Change some numbers; None, or the usual value, takes the kind's own again.

    A text may be in inches: 25.5 in, 25 1/2 in. Raises InputError at the number at fault; then
    nothing is changed.
    """
    briefs = Noun.registry["brief"]
    brief = briefs.get(desk, brief_id)
    usual = {one.name: one for one in numbers(base_of(brief))}
    now = {one.name: one.value for one in numbers(instrument_of(brief))}
    kept: dict[str, Any] = dict(brief.numbers)
    for name, given in changes.items():
        value = read_length(name, given)
        if value is None or (
            name in usual and math.isclose(value, usual[name].value, abs_tol=5e-3)
        ):
            kept.pop(name, None)
        elif not math.isclose(value, now.get(name, math.nan), abs_tol=5e-3):
            kept[name] = value
    touched = [name for name in changes if kept.get(name) != brief.numbers.get(name)]
    shaped(base_of(brief), kept, touched)
    changed = briefs.change_model(**{"numbers": kept})
    return numbers_view(briefs.change(desk, brief_id, etag, changed))


def read_length(name: str, given: float | str | None) -> float | None:
    """A length in millimetres, or a count, as it was typed. Raises InputError at `name`."""
    if given is None or isinstance(given, int | float):
        return given
    text = _plain(given)
    if not text:
        return None
    length = math.nan
    if match := _INCHES.fullmatch(text):
        whole, above, below = match.groups()
        if (whole or above) and (below is None or int(below)):
            inches = _number(whole or "0") + (float(above) / float(below) if above else 0.0)
            length = round(inches * MM_PER_INCH, 4)  # 25 1/2 in is 647.7 mm, not 647.6999…
    elif match := _MILLIMETRES.fullmatch(text):
        length = _number(match[1])
    if math.isfinite(length):
        return length
    raise InputError.at(
        name, f"This is no length: {given!r}. Write 640, 640 mm, 25.2 in or 25 1/4 in."
    )


def _plain(given: str) -> str:
    """As typed, a fraction of one letter (½) written out."""
    parts = (f" {one}" if unicodedata.category(one) == "No" else one for one in given.casefold())
    return unicodedata.normalize("NFKC", "".join(parts)).replace("⁄", "/").strip()


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return math.nan
