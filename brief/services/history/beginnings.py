"""Begin a brief from another one: a copy of what is asked for, with ids and times of its own.

The rack belongs to all briefs, so that its pieces are pointed at and not copied. What was said,
asked, noted, shared and frozen stays with the other brief, as do its show and its date.
"""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Mapping
from typing import Literal, get_args

from pydantic import Field

from brief.services.common.field_types import Draft, Id, Title
from brief.services.history.parcels.copying import TIME_SIGNS, in_crockford, relinked
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.parcel import BRIEFS, Key, Parcel
from brief.services.history.parcels.unpacking import put_in
from brief.services.history.row_codec import Row, kinds, links, pointing
from brief.services.theme.briefs import BriefDraft, briefs
from brief.store.desk import Desk
from brief.store.records import Brief, new_id, now_utc

Kept = Literal["theme", "motifs", "references", "spec"]
KINDS: Mapping[Kept, tuple[str, ...]] = {
    "theme": (),
    "motifs": ("motifs",),
    "references": ("references", "palettes", "swatches"),
    "spec": (BRIEFS, "parts", "inlays", "tracings"),
}
# What a part remembers of a thing that it points at no longer.
REMEMBERED = {"swatch_id": "chosen_swatch_lab"}


class BeginningDraft(Draft):
    """What a brief is begun from."""

    brief_id: Id = Field(description="Of the other brief")
    title: Title = Field(examples=["Saltmarsh, last light"])
    keep: list[Kept] = Field(
        list(get_args(Kept)),
        description="What is copied: the text of the theme; its motifs; pictures and passages with "
        "their palettes and named colours; the parts with their pieces, numbers and inlays",
    )


def begin_from(desk: Desk, draft: BeginningDraft) -> Brief:
    """A new brief with copies of that of another. Raises NotFound if the other is not here."""
    parcel = pack(desk, draft.brief_id, offcuts=False, revisions=False)
    (other,) = parcel.records[BRIEFS]
    theme = str(other["theme"]) if "theme" in draft.keep else ""
    wanted = {name for kept in draft.keep for name in KINDS[kept]}
    rows = {
        (name, str(row["id"])): row
        for name in wanted
        for row in parcel.records.get(name, ())
        if row["binned_utc"] is None
    }
    ids = _new_ids(record_id for _, record_id in rows)
    if BRIEFS not in wanted:
        told = {"instrument": other["instrument"], "kind": other["kind"]}
        begun = briefs.add(desk, BriefDraft(title=draft.title, theme=theme, **told))
        ids[draft.brief_id] = begun.id
    copied = relinked(_only(parcel, rows), ids)
    for row in copied.records.get(BRIEFS, ()):
        row |= {"title": draft.title, "theme": theme, "show": "", "wanted_by": None}
        row |= {"opens_on": None, "travel_days": 0, "papers_days": 0}
        row |= {"caption": "", "stand_price": "", "stand_list": ""}
        row |= {"asking_price": None}
    put_in(desk, copied, {(name, ids[record_id]) for name, record_id in rows})
    return briefs.get(desk, ids[draft.brief_id])


def _new_ids(known: Iterable[str]) -> dict[str, str]:
    """New ULIDs of this moment, in the order of the old, which is that of making."""
    old = sorted(known)
    start = new_id()[:TIME_SIGNS]
    chance = sorted(secrets.randbits(80) for _ in old)
    return {one: start + in_crockford(number) for one, number in zip(old, chance, strict=True)}


def _only(parcel: Parcel, rows: Mapping[Key, Row]) -> Parcel:
    """Those rows alone, as if just made, with nothing that points at what is left behind."""
    now = now_utc().isoformat()
    records: dict[str, list[Row]] = {}
    for (name, _), row in rows.items():
        made = row | {"version": 1, "created_utc": now, "changed_utc": now}
        for column, to, record_id in pointing(kinds()[name], row):
            if _is_left(parcel, (to, record_id), rows):
                made |= {column: None} | (
                    {REMEMBERED[column]: None} if column in REMEMBERED else {}
                )
        records.setdefault(name, []).append(made)
    tied = {
        name: [
            row
            for row in those
            if all((to, end) in rows for _, to, end in pointing(links()[name], row))
        ]
        for name, those in parcel.links.items()
    }
    return parcel.model_copy(update={"records": records, "links": tied})


def _is_left(parcel: Parcel, key: Key, rows: Mapping[Key, Row]) -> bool:
    """Whether it is the other brief's own and does not come along; the brief itself always does."""
    name, record_id = key
    if name == BRIEFS or key in rows:
        return False
    return any(row["id"] == record_id and "brief_id" in row for row in parcel.records.get(name, ()))
