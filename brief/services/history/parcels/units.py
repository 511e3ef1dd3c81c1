"""What of a parcel comes in together or not at all."""

from __future__ import annotations

from dataclasses import dataclass, field

from brief.services.history.parcels.gathering import ends_of
from brief.services.history.parcels.parcel import BRIEFS, MATERIALS, TRACES, Key, Parcel
from brief.services.history.row_codec import Row


@dataclass
class Unit:
    """Records that come in together or not at all: the brief's own, or one piece of the rack."""

    root: Key
    rows: dict[Key, Row] = field(default_factory=dict)
    ties: list[tuple[str, Row]] = field(default_factory=list)


def split(parcel: Parcel) -> tuple[Unit, list[Unit]]:
    """What the brief owns, and the pieces that it shares with other briefs."""
    rows = {(kind.name, row["id"]): (kind, row) for kind, row in parcel.rows()}
    owned = {key for key, (_, row) in rows.items() if key[0] == BRIEFS or row.get("brief_id")}
    ends = {key: set(ends_of(*one)) for key, one in rows.items()}
    while more := {key for key in rows.keys() - owned if ends[key] & owned}:
        owned |= more
    group = {key: key for key in rows.keys() - owned}

    def first(key: Key) -> Key:
        while group[key] != key:
            key = group[key]
        return key

    for key in group:
        for end in ends[key]:
            if end in group:
                low, high = sorted((first(key), first(end)))
                group[high] = low
    units: dict[Key, Unit] = {}
    whole = Unit((BRIEFS, parcel.brief_id))
    for key, (_, row) in rows.items():
        unit = whole if key in owned else units.setdefault(first(key), Unit(first(key)))
        unit.rows[key] = row
    for kind, row in parcel.ties():
        at = next((end for end in ends_of(kind, row) if end not in group), None)
        unit = whole if at else units[first(ends_of(kind, row)[0])]
        unit.ties.append((kind.name, row))
    for unit in units.values():  # a piece is known by itself, not by its photograph
        unit.root = next((key for key in unit.rows if key[0] == MATERIALS), unit.root)
    return whole, list(units.values())


def content(unit: Unit) -> tuple[dict[Key, Row], list[tuple[str, list[str]]]]:
    """What it says: its records without their traces, and its ties, to be compared."""
    return (
        {
            key: {name: value for name, value in row.items() if name not in TRACES}
            for key, row in unit.rows.items()
        },
        sorted((name, [str(value) for value in row.values()]) for name, row in unit.ties),
    )
