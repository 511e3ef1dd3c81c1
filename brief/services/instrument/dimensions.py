"""The numbers of an instrument: those of its kind, and those the maker has changed."""

from __future__ import annotations

from functools import lru_cache

from pydantic import BaseModel, Field

from brief.instrument import Preset
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import numbers
from brief.services.common.noun import etag_of
from brief.services.common.typed_numbers import still_true
from brief.services.instrument.known_kinds import base_of
from brief.store.records import Brief

SAME_MM = 5e-3  # hundredths are what the pages show
PLACES = 6  # of what is sent out, beyond which there is only what floating point makes of a sum


class NumberView(BaseModel):
    """One number of an instrument as it is shown."""

    name: str = Field(examples=["scale_mm"])
    label: str
    part: str
    unit: str
    value: float
    typed: str | None = Field(description="As it was typed, where not as this number")
    usual: float = Field(description="That of its kind of instrument")
    usual_typed: str | None
    least: float
    most: float
    changed: bool


class NumbersView(BaseModel):
    """The numbers of a brief's instrument as they are shown."""

    etag: str = Field(description="That of the brief; send it back as If-Match with a change")
    numbers: list[NumberView]


def instrument_of(brief: Brief) -> Preset:
    """The brief's instrument: its kind, with the numbers that the maker has changed."""
    return _made(base_of(brief), tuple(brief.numbers.items()))


@lru_cache(maxsize=64)  # one page asks for the same instrument some twenty times
def _made(base: Preset, numbers: tuple[tuple[str, float], ...]) -> Preset:
    return shaped(base, dict(numbers))


def typed_numbers(brief: Brief, made: Preset) -> dict[str, str]:
    """What was typed for the numbers of an instrument: for the brief, or for a kind of the maker's
    own that it is of; as far as it says what they are.
    """
    lengths = {one.name: one.value for one in numbers(made) if one.unit == "mm"}
    of_kind = brief.own_kind.as_typed if brief.own_kind else {}
    return still_true(of_kind, lengths, SAME_MM) | still_true(brief.as_typed, lengths, SAME_MM)


def numbers_view(brief: Brief) -> NumbersView:
    """The numbers of a brief's instrument, beside those of its kind."""
    base, made = base_of(brief), instrument_of(brief)
    usual = {one.name: one for one in numbers(base)}
    typed, usually = typed_numbers(brief, made), typed_numbers(brief, base)
    return NumbersView(
        etag=etag_of(brief),
        numbers=[
            NumberView(
                name=one.name,
                label=one.label,
                part=one.part,
                unit=one.unit,
                value=round(one.value, PLACES),
                typed=typed.get(one.name),
                usual=round(usual[one.name].value, PLACES),
                usual_typed=usually.get(one.name),
                least=usual[one.name].least,
                most=usual[one.name].most,
                changed=one.name in brief.numbers,
            )
            for one in numbers(made)
        ],
    )
