"""What changed in a brief between two of its documents: thing by thing, in words and colours."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import Any, Literal

from pydantic import BaseModel, Field
from sqlalchemy.orm.attributes import set_committed_value

from brief.colour.notation.wording import figure
from brief.instrument import presets
from brief.instrument.model.sizes import numbers
from brief.services.common.colour_view import colour_view, difference
from brief.services.common.formatting import plain
from brief.services.common.naming import BY_ADDRESS, kind_of_record, shortened
from brief.services.common.typed_numbers import as_said, other_unit, still_true, unit_in
from brief.services.history.parcels.parcel import BRIEFS, KINDS, MATERIALS, TRACES, Key, Parcel
from brief.services.history.row_codec import Row, kinds, pointing
from brief.services.instrument.dimensions import instrument_of, typed_numbers
from brief.store.records import Brief

# The order in which a maker would ask; kinds that are not named here come after.
ORDER = (
    "briefs",
    "parts",
    "inlays",
    "swatches",
    "pairings",
    "motifs",
    "references",
    "palettes",
    "stages",
    "absences",
    "stops",
    "legs",
    "stays",
    "contacts",
    "things-to-pack",
    "bought-parts",
    "pieces-used",
    "viewings",
    "climates",
    "kinds",
    "tracings",
    "materials",
    "photographs",
    "finish-tests",
    "studio-pictures",
    "notes",
    "comments",
    "questions",
    "answers",
)
TITLES = {"briefs": "The brief itself", "materials": "Pieces of the rack"}
# What follows from other things, and what only the program itself reads.
UNTOLD = TRACES | {
    "id",
    "as_typed",
    "created_utc",
    "binned_utc",
    "binned_with",
    "brief_id",
    "about_kind",
    "about_id",
    "reply_to",
    "position",
    "seed",
    "asked",
    "algorithm",
    "correction",
    "uncertainty",
    "disagreement",
    "spread",
    "cells",
    "findings",
    "shift",
    "reading_doubt",
    "reading_uncertainty",
    "shot_lab",
    "measured",
    "remarks",
    "outline_edition",
    "drawn_mm",
    "made_of",
    "said",
    "points",
    "inside",
    "came_by",
    "annotation_id",
    "said_utc",
    "closed_utc",
    "since",
    "palette_index",
    "usual",
    "chosen_material_lab",
    "chosen_swatch_lab",
    "asked_ground_lab",
    "asked_inlay_lab",
}
NAMES = {
    "says": "meaning",
    "show": "where it will be shown",
    "wanted_by": "ready to ship by",
    "kind": "model",
    "outline_doubt_mm": "doubt of the outline",
    "material_id": "made of",
    "swatch_id": "target colour",
    "before_id": "before",
    "after_id": "after",
    "lab": "colour",
    "image_sha256": "picture",
    "region": "area of the picture",
    "selections": "area",
    "correct_by": "corrected by",
    "path": "drawing",
    "drawing": "sizes and outline",
    "parts": "parts",
    "public_name": "public name",
    "sizes": "notes on size",
    "laying": "placement of the photo",
    "lies_on": "set into",
    "part_id": "counts as",
    "frets": "at frets",
    "opens_on": "opening",
    "travel_days": "days of travel",
    "papers_days": "days for papers",
    "week_h": "hours from Monday to Sunday",
    "follows": "after",
    "quick_h": "quick (h)",
    "likely_h": "likely (h)",
    "slow_h": "slow (h)",
    "wait_days": "wait (days)",
    "wait_for": "waiting for",
    "spare": "could be left out",
    "spent_h": "hours spent",
    "first_on": "from",
    "last_on": "until",
    "hour_rate": "rate an hour",
    "margin": "margin (% of the price)",
    "commission": "commission (% of the price)",
    "number": "how many",
    "share": "share used (%)",
    "along_mm": "along (mm)",
    "across_mm": "to treble side (mm)",
    "turn_deg": "rotation (°)",
    "humidity": "relative humidity",
    "stand_price": "price on the stand",
    "stand_list": "also on the price list",
    "role": "role",
    "zone": "time zone",
    "from_id": "leaves",
    "to_id": "comes to",
    "leaves_on": "day of leaving",
    "leaves_at": "time of leaving",
    "arrives_on": "day of arriving",
    "arrives_at": "time of arriving",
    "stop_id": "stop",
    "from_on": "from",
    "from_at": "from (time)",
    "until_on": "until",
    "until_at": "until (time)",
    "reach": "how to reach",
    "heap": "where on the list",
}
# Written in sentences, so that the words in them are compared.
TEXTS = frozenset({"theme", "caption", "says", "text", "passage", "outcome", "why"})
# Words of two texts together; beyond it, or if less of them is the same, they stand side by side.
LONGEST_MARKED, LEAST_SAME = 4000, 0.5


class Side(BaseModel):
    """How something was, or is."""

    text: str = ""
    colours: list[str] = Field([], description="sRGB", examples=[["#2f6f62"]])
    picture: str | None = Field(None, description="Where a small rendition is")


class TextStretch(BaseModel):
    """Some words of two texts that were compared."""

    how: Literal["same", "gone", "new"]
    text: str


class FieldChange(BaseModel):
    """One field of a thing, before and after."""

    field: str
    name: str = Field(examples=["made of"])
    before: Side
    after: Side
    apart: str = Field("", description="How far two colours are apart, in words")
    marked: list[TextStretch] = Field([], description="Of a text: what stayed, went and came")


class Change(BaseModel):
    """One thing that was added, removed or changed."""

    kind: str = Field(examples=["part"])
    id: str
    label: str
    what: Literal["added", "removed", "changed"]
    fields: list[FieldChange]


class ChangeGroup(BaseModel):
    """All changes of one kind of thing."""

    title: str = Field(examples=["Parts"])
    changes: list[Change]


def changes(before: Parcel, after: Parcel) -> list[ChangeGroup]:
    """Everything that was added, removed or changed, in the order in which a maker would ask."""
    old, new = _Held(before), _Held(after)
    groups = []
    for name in sorted(kinds(), key=lambda one: ORDER.index(one) if one in ORDER else len(ORDER)):
        ids = sorted({key[1] for key in {*old.lying, *new.lying} if key[0] == name})
        found = [change for one in ids if (change := _change((name, one), old, new))]
        if found:
            title = TITLES.get(name) or name.replace("-", " ").capitalize()
            groups.append(ChangeGroup(title=title, changes=found))
    return groups


class _Held:
    """One document, to be looked things up in."""

    def __init__(self, parcel: Parcel) -> None:
        self.rows: dict[Key, Row] = {(kind.name, row["id"]): row for kind, row in parcel.rows()}
        # What lies in the bin is there to be pointed at, and counts as removed.
        self.lying = {key: row for key, row in self.rows.items() if row["binned_utc"] is None}
        self.tied: dict[Key, dict[str, list[Key]]] = {}
        for kind, row in parcel.ties():
            first, *others = [(to, record_id) for _, to, record_id in pointing(kind, row)]
            for other in others:
                self.tied.setdefault(first, {}).setdefault(other[0], []).append(other)

    def kind(self, name: str | None) -> str:
        """What a kind of instrument is called: one of the maker's own, or one that is known."""
        own = self.rows.get((KINDS, name or ""))
        return str(own["name"]) if own else dict(presets()).get(name or "", name or "")

    def label(self, key: Key) -> str:
        row = self.rows.get(key)
        if row is None:
            return "something that is not here"
        if key[0] == "pairings":
            ground, inlay = ((MATERIALS, row[field]) for field in ("ground_id", "inlay_id"))
            return f"{self.label(inlay)} on {self.label(ground)}"
        if key[0] == "photographs":
            of = self.label((MATERIALS, row["material_id"]))
            shows = row["finish"] or (row["state"] if row["state"] != "not said" else "")
            return f"{shows} photograph of {of}".strip()
        named = next((row[one] for one in ("title", "label", "name") if row.get(one)), None)
        return named or shortened(row.get("text") or row.get("passage") or "without a name")

    def lab(self, key: Key) -> Sequence[float] | None:
        lab: Sequence[float] | None = (self.rows.get(key) or {}).get("lab")
        return lab

    def motif_like(self, key: Key) -> dict[str, list[str]]:
        """What it is tied to, in words, by the kind of that."""
        return {
            to: sorted(self.label(one) for one in those)
            for to, those in self.tied.get(key, {}).items()
        }


def _change(key: Key, old: _Held, new: _Held) -> Change | None:
    before, after = old.lying.get(key), new.lying.get(key)
    if (before is None) != (after is None) and _goes_along(key, before or after or {}, old, new):
        return None
    what: Literal["added", "removed", "changed"]
    if before is None:
        what, held = "added", new
    elif after is None:
        what, held = "removed", old
    else:
        what, held = "changed", new
    fields = [one for one in _fields(key, before, after, old, new) if one.before != one.after]
    if what == "changed" and not fields:
        return None
    return Change(
        kind=kind_of_record(BY_ADDRESS[key[0]]),
        id=key[1],
        label=held.label(key),
        what=what,
        fields=fields,
    )


def _goes_along(key: Key, row: Row, old: _Held, new: _Held) -> bool:
    """Whether it is a part of a piece of the rack that came or went itself, and so goes unsaid."""
    holders = {(to, record_id) for _, to, record_id in pointing(kinds()[key[0]], row)}
    return any((holder in old.lying) != (holder in new.lying) for holder in holders) and all(
        holder[0] in (MATERIALS, "photographs") for holder in holders
    )


def _fields(
    key: Key, before: Row | None, after: Row | None, old: _Held, new: _Held
) -> Iterator[FieldChange]:
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
    column: str, name: str, old: _Held, new: _Held, was: Key | None, now: Key | None
) -> FieldChange:
    labs = (was and old.lab(was), now and new.lab(now))
    return FieldChange(
        field=column,
        name=name,
        before=Side(text=old.label(was) if was else "", colours=_hexes(labs[0])),
        after=Side(text=new.label(now) if now else "", colours=_hexes(labs[1])),
        apart=_apart(*labs),
    )


def _coloured(column: str, name: str, was: Any, now: Any) -> FieldChange:
    return FieldChange(
        field=column,
        name=name,
        before=Side(text=_lab_text(was), colours=_hexes(was)),
        after=Side(text=_lab_text(now), colours=_hexes(now)),
        apart=_apart(was, now),
    )


def _written(
    column: str, name: str, was: Any, now: Any, texts: Sequence[str | None] = (None, None)
) -> FieldChange:
    before, after = _side(column, was, texts[0]), _side(column, now, texts[1])
    if before == after and was != now:
        after = Side(text="something else")
    told = FieldChange(field=column, name=name, before=before, after=after)
    if isinstance(was, str) and isinstance(now, str) and column in TEXTS:
        told.marked = _marked(was, now)
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
                before=_side(name, was.value, texts[0].get(name)),
                after=_side(name, now.value, texts[1].get(name)),
            )


def _text(row: Row | None, column: str) -> str | None:
    return still_true((row or {}).get("as_typed"), row or {}).get(column)


def _side(column: str, value: Any, text: str | None = None) -> Side:
    match value:
        case None | "" | [] | {}:
            return Side()
        case bool():
            return Side(text="yes" if value else "no")
        case float() | int() if other_unit(text, unit_in(column)):
            return Side(text=as_said(text, plain(float(value)), unit_in(column)))
        case float() | int():
            return Side(text=plain(float(value)))
        case str() if column == "image_sha256":
            return Side(text="a picture", picture=f"/images/{value}/thumb")
        case str() if column == "path":
            return Side(text="as it was drawn")
        case str():
            return Side(text=value)
        case [{"lab": _}, *_]:
            return Side(
                text=f"{len(value)} colours", colours=[_hexes(one["lab"])[0] for one in value]
            )
        case [str() | int() | float(), *_] if column != "selections":
            told = (plain(one) if isinstance(one, float) else str(one) for one in value)
            return Side(text=", ".join(told))
        case _:
            return Side(text="as it was drawn")


def _marked(was: str, now: str) -> list[TextStretch]:
    old, new = (re.findall(r"\s*\S+\s*$|\s*\S+", text) for text in (was, now))
    if len(old) + len(new) > LONGEST_MARKED:
        return []
    told: list[TextStretch] = []
    matched = SequenceMatcher(None, old, new, autojunk=False)
    if matched.ratio() < LEAST_SAME:
        return []
    for what, a, b, c, d in matched.get_opcodes():
        if what == "equal":
            told.append(TextStretch(how="same", text="".join(old[a:b])))
            continue
        if b > a:
            told.append(TextStretch(how="gone", text="".join(old[a:b])))
        if d > c:
            told.append(TextStretch(how="new", text="".join(new[c:d])))
    return told


def _in_words(column: str) -> str:
    """ "line_mm" → "line (mm)"."""
    plain_name = re.sub("_(ids?|sha256)$", "", column)
    return re.sub("_(mm|m)$", r" (\1)", plain_name).replace("_", " ")


def _hexes(lab: Sequence[float] | None) -> list[str]:
    return [colour_view(lab, 0.0).hex] if lab else []


def _lab_text(lab: Sequence[float] | None) -> str:
    return colour_view(lab, 0.0).words if lab else ""


def _apart(was: Sequence[float] | None, now: Sequence[float] | None) -> str:
    if not was or not now:
        return ""
    return f"{figure(difference(was, now))} CIEDE2000 apart"


def _brief_of(held: _Held, row: Row) -> Brief:
    """The brief as a document has it, with the kind of the maker's own that it was of."""
    found: Brief = _as_record(BRIEFS, row)
    kind = held.rows.get((KINDS, row["kind"]))
    set_committed_value(found, "own_kind", kind and _as_record(KINDS, kind))
    return found


def _as_record(name: str, row: Row) -> Any:
    """A row as a record that is in no store."""
    return BY_ADDRESS[name](**kinds()[name].row.model_validate(row).model_dump())


def same_content(one: Parcel, other: Parcel) -> bool:
    """Whether two documents say the same, whatever was changed and changed back between them."""

    def said(parcel: Parcel) -> Any:
        rows = [
            (kind.name, {name: row[name] for name in row if name not in TRACES})
            for kind, row in parcel.rows()
        ]
        ties = sorted((kind.name, sorted(row.items())) for kind, row in parcel.ties())
        return sorted(rows, key=lambda row: (row[0], row[1]["id"])), ties

    return bool(said(one) == said(other))
