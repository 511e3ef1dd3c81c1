"""One field of a thing, before and after."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from pydantic import BaseModel, Field
from sqlalchemy.orm.attributes import set_committed_value

from brief.colour.notation.wording import figure
from brief.instrument.model.sizes import numbers
from brief.services.common.colour_view import difference
from brief.services.common.naming import BY_ADDRESS
from brief.services.common.typed_numbers import still_true
from brief.services.history.changes.held import Held
from brief.services.history.changes.marking import TextStretch, marked_words
from brief.services.history.changes.sides import Side, hexes, lab_text, side_of
from brief.services.history.changes.told import NAMES, TEXTS, UNTOLD
from brief.services.history.parcels.parcel import BRIEFS, KINDS, Key
from brief.services.history.row_codec import Row, kinds
from brief.services.instrument.dimensions import instrument_of, typed_numbers
from brief.store.records import Brief


class FieldChange(BaseModel):
    """One field of a thing, before and after."""

    field: str
    name: str = Field(examples=["made of"])
    before: Side
    after: Side
    apart: str = Field("", description="How far two colours are apart, in words")
    marked: list[TextStretch] = Field([], description="Of a text: what stayed, went and came")


def fields_of(
    key: Key, before: Row | None, after: Row | None, old: Held, new: Held
) -> Iterator[FieldChange]:
    """Each field that differs, and those of the only one there is of what came or went."""
    kind = kinds()[key[0]]
    row = before or after or {}
    for column in row:
        if column in UNTOLD or (key[0] == BRIEFS and column == "numbers"):
            continue
        was, now = ((one or {}).get(column) for one in (before, after))
        if was == now and before and after:
            continue
        name = NAMES.get(column) or _in_words(column)
        to = kind.pointers.get(column)
        if key[0] == BRIEFS and column == "kind":
            yield FieldChange(
                field=column,
                name=name,
                before=Side(text=old.kind(was)),
                after=Side(text=new.kind(now)),
            )
        elif to is not None:
            ends = [(to, value) if value else None for value in (was, now)]
            yield _told(column, name, old, new, *ends)
        elif column == "follows":
            called = [
                [held.label((key[0], one)) for one in those or ()]
                for held, those in ((old, was), (new, now))
            ]
            yield _written(column, name, *called)
        elif column == "lab":
            yield _coloured(column, name, was, now)
        else:
            yield _written(column, name, was, now, [_text(one, column) for one in (before, after)])
    if key[0] == BRIEFS and before and after:
        yield from _numbers(_brief_of(old, before), _brief_of(new, after))
    was_tied, now_tied = old.motif_like(key), new.motif_like(key)
    for to in sorted({*was_tied, *now_tied}):
        yield _written(to, f"its {to}", was_tied.get(to, []), now_tied.get(to, []))


def _told(
    column: str, name: str, old: Held, new: Held, was: Key | None, now: Key | None
) -> FieldChange:
    labs = (was and old.lab(was), now and new.lab(now))
    return FieldChange(
        field=column,
        name=name,
        before=Side(text=old.label(was) if was else "", colours=hexes(labs[0])),
        after=Side(text=new.label(now) if now else "", colours=hexes(labs[1])),
        apart=_apart(*labs),
    )


def _coloured(column: str, name: str, was: Any, now: Any) -> FieldChange:
    return FieldChange(
        field=column,
        name=name,
        before=Side(text=lab_text(was), colours=hexes(was)),
        after=Side(text=lab_text(now), colours=hexes(now)),
        apart=_apart(was, now),
    )


def _written(
    column: str, name: str, was: Any, now: Any, texts: Sequence[str | None] = (None, None)
) -> FieldChange:
    before, after = side_of(column, was, texts[0]), side_of(column, now, texts[1])
    if before == after and was != now:
        after = Side(text="something else")
    told = FieldChange(field=column, name=name, before=before, after=after)
    if isinstance(was, str) and isinstance(now, str) and column in TEXTS:
        told.marked = marked_words(was, now)
    return told


def _numbers(before: Brief, after: Brief) -> Iterator[FieldChange]:
    made = [instrument_of(before), instrument_of(after)]
    values = [{one.name: one for one in numbers(one)} for one in made]
    texts = [typed_numbers(*one) for one in zip((before, after), made, strict=True)]
    for name in sorted({*before.numbers, *after.numbers}):
        was, now = (one.get(name) for one in values)
        if was and now and was.value != now.value:
            yield FieldChange(
                field=name,
                name=f"{now.label}{' (mm)' if now.unit == 'mm' else ''}",
                before=side_of(name, was.value, texts[0].get(name)),
                after=side_of(name, now.value, texts[1].get(name)),
            )


def _text(row: Row | None, column: str) -> str | None:
    return still_true((row or {}).get("as_typed"), row or {}).get(column)


def _in_words(column: str) -> str:
    """ "line_mm" → "line (mm)"."""
    plain_name = re.sub("_(ids?|sha256)$", "", column)
    return re.sub("_(mm|m)$", r" (\1)", plain_name).replace("_", " ")


def _apart(was: Sequence[float] | None, now: Sequence[float] | None) -> str:
    if not was or not now:
        return ""
    return f"{figure(difference(was, now))} CIEDE2000 apart"


def _brief_of(held: Held, row: Row) -> Brief:
    """The brief as a document has it, with the kind of the maker's own that it was of."""
    found: Brief = _as_record(BRIEFS, row)
    kind = held.rows.get((KINDS, row["kind"]))
    set_committed_value(found, "own_kind", kind and _as_record(KINDS, kind))
    return found


def _as_record(name: str, row: Row) -> Any:
    """A row as a record that is in no store."""
    return BY_ADDRESS[name](**kinds()[name].row.model_validate(row).model_dump())
