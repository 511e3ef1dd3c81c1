"""What changed in a brief between two of its documents: thing by thing."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, Field

from brief.services.common.naming import BY_ADDRESS, kind_of_record
from brief.services.history.changes.fields import FieldChange, fields_of
from brief.services.history.changes.held import Held
from brief.services.history.changes.told import ORDER, TITLES
from brief.services.history.parcels.parcel import MATERIALS, TRACES, Key, Parcel
from brief.services.history.row_codec import Row, kinds, pointing


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
    old, new = Held(before), Held(after)
    groups = []
    for name in sorted(kinds(), key=lambda one: ORDER.index(one) if one in ORDER else len(ORDER)):
        ids = sorted({key[1] for key in {*old.lying, *new.lying} if key[0] == name})
        found = [change for one in ids if (change := _change((name, one), old, new))]
        if found:
            title = TITLES.get(name) or name.replace("-", " ").capitalize()
            groups.append(ChangeGroup(title=title, changes=found))
    return groups


def _change(key: Key, old: Held, new: Held) -> Change | None:
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
    fields = [one for one in fields_of(key, before, after, old, new) if one.before != one.after]
    if what == "changed" and not fields:
        return None
    return Change(
        kind=kind_of_record(BY_ADDRESS[key[0]]),
        id=key[1],
        label=held.label(key),
        what=what,
        fields=fields,
    )


def _goes_along(key: Key, row: Row, old: Held, new: Held) -> bool:
    """Whether it is a part of a piece of the rack that came or went itself, and so goes unsaid."""
    holders = {(to, record_id) for _, to, record_id in pointing(kinds()[key[0]], row)}
    return any((holder in old.lying) != (holder in new.lying) for holder in holders) and all(
        holder[0] in (MATERIALS, "photographs") for holder in holders
    )


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
