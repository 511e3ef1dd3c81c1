"""The numbers of a brief's instrument changed by the maker, or set back to those of its kind."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated

from brief.errors import InputError, quoted
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import Dimension, numbers
from brief.lengths import unit_of
from brief.services.common.field_types import Draft, Json
from brief.services.common.typed_numbers import SentNumber, Typed, empty_is_none, text_kept
from brief.services.instrument.dimensions import SAME_MM, NumbersView, instrument_of, numbers_view
from brief.services.instrument.known_kinds import base_of
from brief.services.theme.briefs import briefs
from brief.store.desk import Desk

SentChange = Annotated[SentNumber | None, empty_is_none]


class _Change(Draft):
    """What a brief keeps of its numbers."""

    numbers: dict[str, float]
    as_typed: dict[str, str]


def change_numbers(
    desk: Desk, brief_id: str, etag: str, changes: Mapping[str, float | None]
) -> NumbersView:
    """Change some numbers; None, or the usual value, takes the kind's own again.

    Raises InputError at the number at fault; then nothing is changed.
    """
    brief = briefs.get(desk, brief_id)
    usual = {one.name: one for one in numbers(base_of(brief))}
    now = {one.name: one.value for one in numbers(instrument_of(brief))}
    kept: Json = dict(brief.numbers)
    texts: Json = dict(brief.as_typed) | dict.fromkeys(changes)
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
