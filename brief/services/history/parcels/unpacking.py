"""A parcel put back into the tables.

What is here already is told by its ids: equal things are not doubled, different ones come in
beside them under new ids, with everything that points at them relinked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from typing import Literal

from sqlalchemy.exc import IntegrityError

from brief.errors import ParcelError
from brief.photo import MAX_PIXELS, describe_photo
from brief.services.common.field_types import clean_line
from brief.services.history.parcels.arrival import Arrival, arrival
from brief.services.history.parcels.checks import frozen_document, shortened_name
from brief.services.history.parcels.copying import new_ids, relinked
from brief.services.history.parcels.gathering import ends_of, gather, ties_between
from brief.services.history.parcels.parcel import BRIEFS, REVISIONS, Key, Parcel
from brief.services.history.parcels.units import Unit, content, split
from brief.services.history.row_codec import Row, images, kinds, links, read_rows, write_rows
from brief.store.desk import Desk

TWICE = "it contains a record twice that may exist once"


def lay_out(desk: Desk, parcel: Parcel) -> None:
    """Put all of a parcel on an empty desk. Raises IntegrityError for what can be there only once
    and is not."""
    write_rows(desk, images(), parcel.images)
    for tables, those in ((kinds(), parcel.records), (links(), parcel.links)):
        for name, rows in those.items():
            write_rows(desk, tables[name], rows)


def unpack(desk: Desk, parcel: Parcel, picture: Callable[[str], bytes | None]) -> Arrival:
    """Bring in a parcel that was checked and proven. `picture` gives the bytes of an image by its
    hash, or nothing if they are not in it. What is here already has its pictures put right by
    those of the parcel.

    Raises ParcelError for a picture that is not what is said of it, and more of the kinds of
    InputError; the desk is then to be given up, and takes its pictures away again.
    """
    here, arrived, renamed, was_in_bin = _Here(desk), parcel, set[str](), False
    while True:
        owned, pieces = split(arrived)
        found = {unit.root: here.has(unit, arrived) for unit in pieces}
        others = [unit for unit in pieces if found[unit.root] == "other"]
        if not others:  # the brief is looked at last, with its pieces as they will be
            found[owned.root] = here.has(owned, arrived)
            others = [owned] if found[owned.root] == "other" else []
            was_in_bin |= bool(others) and here.in_bin(owned)
        if not others:
            break
        ids = {old: new for unit in others for old, new in new_ids(unit).items()}
        arrived = relinked(arrived, ids)
        renamed |= set(ids.values())
    added = {key for unit in (owned, *pieces) if found[unit.root] == "no" for key in unit.rows}
    _keep_pictures(desk, arrived, picture)
    if added:
        put_in(desk, arrived, added)
    return arrival(desk, parcel, arrived, found, renamed, len(added), was_in_bin=was_in_bin)


class _Here:
    """What of a parcel is here already."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def at_all(self, unit: Unit) -> Literal["no", "other"]:
        by_kind: dict[str, list[str]] = defaultdict(list)
        for name, record_id in unit.rows:
            by_kind[name].append(record_id)
        known = any(read_rows(self.desk, kinds()[name], "id", ids) for name, ids in by_kind.items())
        return "other" if known else "no"

    def in_bin(self, unit: Unit) -> bool:
        name, record_id = unit.root
        found = read_rows(self.desk, kinds()[name], "id", [record_id])
        return bool(found) and found[0]["binned_utc"] is not None

    def has(self, unit: Unit, parcel: Parcel) -> Literal["no", "same", "other"]:
        """Whether nothing of it is here, all of it and nothing else, or something other."""
        if self.at_all(unit) == "no":
            return "no"
        name, record_id = unit.root
        of_brief = record_id if name == BRIEFS else None
        found = gather(self.desk, [unit.root], of_brief, offcuts=True, revisions=True)
        if unit.root not in found:
            return "other"
        local = Parcel(
            program="",
            brief_id=parcel.brief_id,
            records=_by_kind(found),
            links=ties_between(self.desk, found),
        )
        for row in local.records.get(REVISIONS, ()):
            frozen_document(row)  # one that an earlier version froze, as this one writes it
        owned, pieces = split(local)
        there = owned if of_brief else next(one for one in pieces if unit.root in one.rows)
        return "same" if content(there) == content(unit) else "other"


def _by_kind(found: Mapping[Key, Row]) -> dict[str, list[Row]]:
    rows: dict[str, list[Row]] = defaultdict(list)
    for (name, _), row in found.items():
        rows[name].append(row)
    return dict(rows)


def _keep_pictures(desk: Desk, parcel: Parcel, picture: Callable[[str], bytes | None]) -> None:
    present = {row["sha256"] for row in read_rows(desk, images(), "sha256", _hashes(parcel))}
    for row in parcel.images:
        data = picture(row["sha256"]) or desk.images.sound_bytes(row["sha256"])
        _check_picture(row, data)
        if data is not None:
            desk.keep_image(data)
    write_rows(desk, images(), [row for row in parcel.images if row["sha256"] not in present])


def put_in(desk: Desk, parcel: Parcel, added: Collection[Key]) -> None:
    """Put those records of a parcel in, with what ties them together."""
    # A reply may stand before what it replies to; all is looked at when the transaction ends.
    desk.let_references_wait()
    try:
        for name, rows in parcel.records.items():
            write_rows(desk, kinds()[name], [row for row in rows if (name, row["id"]) in added])
        for name, rows in parcel.links.items():
            kind = links()[name]
            write_rows(desk, kind, [row for row in rows if ends_of(kind, row)[0] in added])
    except IntegrityError as exc:
        raise ParcelError(TWICE) from exc


def _hashes(parcel: Parcel) -> list[str]:
    return [row["sha256"] for row in parcel.images]


def _check_picture(row: Row, data: bytes | None) -> None:
    """Raise ParcelError unless a picture is what is said of it, or could be if it is missing."""
    size = (row["width_px"], row["height_px"])
    if data is None:
        is_so = row["size_bytes"] > 0 and min(size) > 0 and size[0] * size[1] <= MAX_PIXELS
    else:
        facts = describe_photo(data, name=row["name"])
        said = (row["media_type"], row["size_bytes"], *size)
        is_so = said == (facts.media_type, len(data), facts.width, facts.height)
    if not is_so:
        raise ParcelError(f"the picture “{shortened_name(row['name'])}” is not what it says it is")
    if not row["name"] or clean_line(row["name"]) != row["name"]:
        raise ParcelError("a picture in it has no name that can be shown")
