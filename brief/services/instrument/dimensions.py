"""The numbers of an instrument: those of its kind, and those the maker has changed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated, Any

from pydantic import BaseModel, Field

from brief.errors import InputError, quoted
from brief.instrument import Preset
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import Dimension, numbers
from brief.lengths import unit_of
from brief.services.common.field_types import Draft
from brief.services.common.noun import etag_of
from brief.services.common.typed_numbers import (
    SentNumber,
    Typed,
    empty_is_none,
    still_true,
    text_kept,
)
from brief.services.instrument.known_kinds import base_of
from brief.services.theme.theme import briefs
from brief.store.desk import Desk
from brief.store.records import Brief

SAME_MM = 5e-3  # hundredths are what the pages show
PLACES = 6  # of what is sent out, beyond which there is only what floating point makes of a sum
SentChange = Annotated[SentNumber | None, empty_is_none]


class NumberView(BaseModel):
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
    etag: str = Field(description="That of the brief; send it back as If-Match with a change")
    numbers: list[NumberView]


def instrument_of(brief: Brief) -> Preset:
    """The brief's instrument: its kind, with the numbers that the maker has changed."""
    return _made(base_of(brief), tuple(brief.numbers.items()))


@lru_cache(maxsize=64)  # one page asks for the same instrument some twenty times
def _made(base: Preset, numbers: tuple[tuple[str, float], ...]) -> Preset:
    return shaped(base, dict(numbers))


class _Change(Draft):
    """What a brief keeps of its numbers."""

    numbers: dict[str, float]
    as_typed: dict[str, str]


def typed_numbers(brief: Brief, made: Preset) -> dict[str, str]:
    """What was typed for the numbers of an instrument: for the brief, or for a kind of the maker's
    own that it is of; as far as it says what they are.
    """
    lengths = {one.name: one.value for one in numbers(made) if one.unit == "mm"}
    of_kind = brief.own_kind.as_typed if brief.own_kind else {}
    return still_true(of_kind, lengths, SAME_MM) | still_true(brief.as_typed, lengths, SAME_MM)


def numbers_view(brief: Brief) -> NumbersView:
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


def change_numbers(
    desk: Desk, brief_id: str, etag: str, changes: Mapping[str, float | None]
) -> NumbersView:
    """Change some numbers; None, or the usual value, takes the kind's own again.

    Raises InputError at the number at fault; then nothing is changed.
    """
    brief = briefs.get(desk, brief_id)
    usual = {one.name: one for one in numbers(base_of(brief))}
    now = {one.name: one.value for one in numbers(instrument_of(brief))}
    kept: dict[str, Any] = dict(brief.numbers)
    texts: dict[str, Any] = dict(brief.as_typed) | dict.fromkeys(changes)
    for name, value in changes.items():
        _check_unit(usual.get(name), value)
        texts[name] = text_kept(value)
        if value is None or (
            name in usual and math.isclose(value, usual[name].value, abs_tol=SAME_MM)
        ):
            kept.pop(name, None)
        elif not math.isclose(value, now.get(name, math.nan), abs_tol=SAME_MM):
            kept[name] = float(value)
    touched = [name for name in changes if kept.get(name) != brief.numbers.get(name)]
    shaped(base_of(brief), kept, touched)
    told = {name: text for name, text in texts.items() if text}
    return numbers_view(briefs.change(desk, brief_id, etag, _Change(numbers=kept, as_typed=told)))


def _check_unit(number: Dimension | None, value: float | None) -> None:
    if number is None or number.unit != "count" or not isinstance(value, Typed):
        return
    if unit_of(value.text) is not None:
        raise InputError.at(
            number.name, f"{number.label} is a count; got {quoted(value.text)}. Write 12."
        )
