"""A parcel gathered from the tables.

With the brief goes all that hangs on it, and the pieces of the rack that it uses with all that
hangs on those.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

import brief
from brief.services.common.finding import present
from brief.services.history.parcels.parcel import BRIEFS, REVISIONS, Key, Parcel
from brief.services.history.row_codec import (
    RecordTable,
    Row,
    images,
    kinds,
    links,
    pointing,
    read_rows,
)
from brief.store.desk import Desk
from brief.store.records import Brief


def pack(desk: Desk, brief_id: str, *, offcuts: bool = True, revisions: bool = True) -> Parcel:
    """The whole of a brief. Raises NotFound if it is not here or lies in the offcuts bin.

    offcuts : with what lies in the bin; without, only what something here still points at.
    revisions : with its frozen revisions.
    """
    present(desk, Brief, brief_id)
    found = gather(desk, [(BRIEFS, brief_id)], brief_id, offcuts=offcuts, revisions=revisions)
    hashes = {row[column] for (name, _), row in found.items() for column in kinds()[name].pictures}
    for (name, _), row in found.items():
        if name == REVISIONS:
            hashes |= {image["sha256"] for image in row["document"]["images"]}
    records: dict[str, list[Row]] = {name: [] for name in kinds()}
    for (name, _), row in found.items():
        records[name].append(row)
    return Parcel(
        program=brief.__version__,
        brief_id=brief_id,
        records={
            name: sorted(rows, key=lambda row: str(row["id"]))
            for name, rows in records.items()
            if rows
        },
        links=ties_between(desk, found),
        images=read_rows(desk, images(), "sha256", sorted(hashes - {None})),
    )


def gather(
    desk: Desk, start: Iterable[Key], brief_id: str | None, *, offcuts: bool, revisions: bool
) -> dict[Key, Row]:
    """The records of `start`, what they point at, what hangs on them, and so on.

    Only what belongs to this brief or to none is taken.
    """
    found: dict[Key, Row] = {}
    wave = set(start)
    unasked = {BRIEFS} if revisions else {BRIEFS, REVISIONS}
    going = [kind for kind in kinds().values() if kind.name not in unasked]
    while wave:
        by_kind: dict[str, set[str]] = defaultdict(set)
        for name, record_id in wave:
            by_kind[name].add(record_id)
        here = [
            (name, row)
            for name, ids in by_kind.items()
            for row in read_rows(desk, kinds()[name], "id", sorted(ids))
        ]
        found |= {(name, row["id"]): row for name, row in here}
        following = {
            (to, record_id)
            for name, row in here
            for _, to, record_id in pointing(kinds()[name], row)
        }
        for name, row in here:
            if name == REVISIONS:  # so that what was used then can be taken back
                old = Parcel.model_validate(row["document"])
                following |= {(kind.name, one["id"]) for kind, one in old.rows()}
        for kind in going:
            columns = [(column, by_kind.get(to)) for column, to in kind.pointers.items()]
            if "about_id" in kind.columns:
                columns.append(("about_id", {record_id for _, record_id in wave}))
            for column, ids in columns:
                if ids:
                    following |= {
                        (kind.name, row["id"])
                        for row in read_rows(desk, kind, column, sorted(ids))
                        if row.get("brief_id") in (None, brief_id)
                        and (offcuts or row["binned_utc"] is None)
                    }
        wave = {
            key
            for key in following
            if key not in found and _goes(key, brief_id) and (revisions or key[0] != REVISIONS)
        }
    # What points at another brief, such as a question that lies between two, stays at home;
    # and one on revisions goes into none.
    while left := [key for key, row in found.items() if not _whole(key, row, found)]:
        for key in left:
            del found[key]
    return found


def _goes(key: Key, brief_id: str | None) -> bool:
    return key[0] in kinds() and (key[0] != BRIEFS or key[1] == brief_id)


def _whole(key: Key, row: Row, found: Mapping[Key, Row]) -> bool:
    """Whether all that it points at goes along."""
    return all(end in found for end in ends_of(kinds()[key[0]], row))


def ties_between(desk: Desk, found: Mapping[Key, Row]) -> dict[str, list[Row]]:
    """The links whose both ends were found."""
    tied = {}
    for name, kind in links().items():
        first, to = next(iter(kind.pointers.items()))
        rows = read_rows(desk, kind, first, [one for at, one in found if at == to])
        rows = [row for row in rows if all(key in found for key in ends_of(kind, row))]
        if rows:
            tied[name] = rows
    return tied


def ends_of(kind: RecordTable, row: Row) -> list[Key]:
    """All that a row points at."""
    return [(to, record_id) for _, to, record_id in pointing(kind, row)]
