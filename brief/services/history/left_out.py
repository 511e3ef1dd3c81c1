"""What a maker may leave out of a saved brief: the trip, which says where they are and when."""

from __future__ import annotations

from collections.abc import Collection

from brief.services.common.naming import in_addresses
from brief.services.history.parcels.parcel import REVISIONS, Parcel
from brief.store.records import Contact, Leg, Stay, Stop, ThingToPack

TRIP = frozenset(in_addresses(one) for one in (Stop, Leg, Stay, Contact, ThingToPack))


def without(parcel: Parcel, kinds: Collection[str]) -> Parcel:
    """The parcel without the records of these kinds, also within its revisions. Nothing of another
    kind may point at one of them.
    """
    records = {
        name: [_revision_without(row, kinds) for row in rows] if name == REVISIONS else rows
        for name, rows in parcel.records.items()
        if name not in kinds
    }
    return parcel.model_copy(update={"records": records})


def _revision_without(row: dict[str, object], kinds: Collection[str]) -> dict[str, object]:
    frozen = without(Parcel.model_validate(row["document"]), kinds)
    return row | {"document": frozen.model_dump(mode="json", by_alias=True)}
