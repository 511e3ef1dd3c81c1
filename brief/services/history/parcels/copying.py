"""A parcel, or a part of one, under new ids."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from brief.services.history.parcels.parcel import BRIEFS, KINDS, MATERIALS, Parcel
from brief.services.history.parcels.units import Unit, content

CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
TIME_SIGNS = 10  # of the 26 signs of a ULID; the rest is chance
COPY_NAMES = {BRIEFS: "title", MATERIALS: "label", KINDS: "name"}
COPIED = " (brought in)"
LONGEST_NAME = 200


def new_ids(unit: Unit) -> dict[str, str]:
    """New ULIDs of the same times and in the same order, which is that of making.

    In place of chance they hold a digest of what is copied, so that the same thing that comes in
    again is known by the ids of its first copy.
    """
    rows, ties = content(unit)
    text = json.dumps([sorted(rows.items()), ties], sort_keys=True, default=str)
    known = sorted(record_id for _, record_id in unit.rows)
    digests = sorted(hashlib.sha256(f"{one}{text}".encode()).digest() for one in known)
    return {
        one: one[:TIME_SIGNS] + in_crockford(int.from_bytes(digest[:10], "big"))
        for one, digest in zip(known, digests, strict=True)
    }


def in_crockford(number: int) -> str:
    """80 bits in base 32, as a ULID ends."""
    return "".join(CROCKFORD[number >> 5 * place & 31] for place in range(15, -1, -1))


def relinked(parcel: Parcel, ids: Mapping[str, str]) -> Parcel:
    """The parcel with new ids wherever one stands, in revisions and lists, too."""
    if not ids:
        return parcel
    renamed: Parcel = Parcel.model_validate(_replaced(parcel.model_dump(), ids))
    for name, names in COPY_NAMES.items():
        for row in renamed.records.get(name, ()):
            if row["id"] in ids.values():
                row[names] = row[names][: LONGEST_NAME - len(COPIED)].rstrip() + COPIED
    return renamed


def _replaced(value: Any, ids: Mapping[str, str]) -> Any:
    match value:
        case str():
            return ids.get(value, value)
        case list():
            return [_replaced(one, ids) for one in value]
        case dict():
            return {_replaced(key, ids): _replaced(one, ids) for key, one in value.items()}
        case _:
            return value
