"""What came of bringing a parcel in, in words."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Literal

from pydantic import BaseModel, Field

from brief.english import agree, number_of, words
from brief.services.history.parcels.copying import COPIED
from brief.services.history.parcels.parcel import BRIEFS, MATERIALS, Key, Parcel
from brief.store.desk import Desk


class Arrival(BaseModel):
    """What came of bringing a parcel in."""

    brief_id: str
    title: str
    outcome: Literal["new", "copy", "here"]
    records: int = Field(description="How many records were added")
    missing: list[str] = Field([], description="Names of pictures whose files did not come with it")
    said: str = Field(description="All of it in words")


def arrival(
    desk: Desk,
    parcel: Parcel,
    arrived: Parcel,
    found: Mapping[Key, str],
    renamed: Collection[str],
    added: int,
    *,
    was_in_bin: bool,
) -> Arrival:
    """What is said of it: first of the brief, then of the pieces."""
    old, title = parcel.title, arrived.title
    copied = arrived.brief_id in renamed
    outcome: Literal["new", "copy", "here"] = "copy" if copied else "new"
    if found[BRIEFS, arrived.brief_id] == "same":
        outcome = "here"
        called = f" as “{title}”" if copied else ""
        said = f"“{old}” is here already{called}, and nothing in it differs; nothing was added."
    elif not copied:
        said = f"“{title}” is on the shelf."
    elif was_in_bin:
        said = f"“{old}” lies in the offcuts bin here; what came stands on the shelf as “{title}”."
    else:
        said = (
            f"“{old}” is here already, but differs from what came, which now stands beside it as "
            f"“{title}”."
        )
    if outcome != "here":
        said = " ".join([said, *_of_pieces(arrived, found, renamed)])
    missing = [row["name"] for row in arrived.images if not desk.images.holds(row["sha256"])]
    if missing:
        files = agree(missing, "The file", "The files")
        named = words([f"“{name}”" for name in missing])
        said += f" {files} of {named} {agree(missing, 'is', 'are')} missing."
    return Arrival(
        brief_id=arrived.brief_id,
        title=title,
        outcome=outcome,
        records=added,
        missing=missing,
        said=said,
    )


def _of_pieces(
    arrived: Parcel, found: Mapping[Key, str], renamed: Collection[str]
) -> Iterator[str]:
    pieces = {row["id"]: row["label"] for row in arrived.records.get(MATERIALS, ())}
    fresh = sum(found.get((MATERIALS, one)) == "no" and one not in renamed for one in pieces)
    known = sum(found.get((MATERIALS, one)) == "same" for one in pieces)
    if fresh:
        yield f"{number_of(fresh, 'piece')} added to the rack."
    if known:
        yield f"{number_of(known, 'piece')} already on the rack."
    names = [
        label.removesuffix(COPIED)
        for one, label in pieces.items()
        if one in renamed and found.get((MATERIALS, one)) == "no"
    ]
    if names:
        yield (
            f"{words(names)} on the rack {agree(names, 'differs', 'differ')}: "
            f"added again as “…{COPIED}”."
        )
