"""A whole brief as one document: gathered from the tables, and put back into them.

With the brief goes all that hangs on it, and the pieces of the rack that it uses with all that
hangs on those. What is here already is told by its ids: equal things are not doubled, different
ones come in beside them under new ids, with everything that points at them relinked.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    SerializerFunctionWrapHandler,
    ValidationError,
    model_serializer,
)
from pydantic.json_schema import models_json_schema
from sqlalchemy.exc import IntegrityError

import brief
from brief.english import agree, number_of, words
from brief.errors import ParcelError
from brief.photo import MAX_PIXELS, describe_photo
from brief.services.common.field_types import Json, clean_line
from brief.services.common.finding import present
from brief.services.history.row_codec import (
    SHA256,
    RecordTable,
    Row,
    images,
    kind_about,
    kinds,
    links,
    pointing,
    read_rows,
    write_rows,
)
from brief.store.desk import Desk
from brief.store.records import Brief

VERSION = 1
SCHEMA_FILE = "schema.json"
BRIEFS, MATERIALS, KINDS, REVISIONS = "briefs", "materials", "kinds", "revisions"
CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
TIME_SIGNS = 10  # of the 26 signs of a ULID; the rest is chance
# What tells nothing of the brief: a change raises these, even one that is taken back again, and
# reading a comment is no change.
TRACES = frozenset({"version", "changed_utc", "seen_utc"})
COPY_NAMES = {BRIEFS: "title", MATERIALS: "label", KINDS: "name"}
COPIED = " (brought in)"
LONGEST_NAME = 200
TWICE = "it contains a record twice that may exist once"

Key = tuple[str, str]  # the kind of a record and its id


class Parcel(BaseModel):
    """A brief as data. Records by kind, as addresses name it: `records["motifs"]`."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    schema_file: Literal["schema.json"] = Field("schema.json", alias="$schema")
    version: Literal[1] = Field(1, description="Of this form; a later one is refused")
    program: str = Field(description="The version of the program that wrote it", max_length=40)
    brief_id: str
    records: dict[str, list[Row]]
    links: dict[str, list[Row]] = Field({}, description="What ties one record to another")
    images: list[Row] = []
    missing: list[Annotated[str, Field(pattern=SHA256)]] = Field(
        [], description="SHA-256 of the pictures whose files could not be packed; absent if none"
    )

    def rows(self) -> Iterator[tuple[RecordTable, Row]]:
        """Every record, with its table."""
        for name, rows in self.records.items():
            for row in rows:
                yield kinds()[name], row

    def ties(self) -> Iterator[tuple[RecordTable, Row]]:
        """Every link between records, with its table."""
        for name, rows in self.links.items():
            for row in rows:
                yield links()[name], row

    @property
    def title(self) -> str:
        """The title of the brief."""
        return str(self.records[BRIEFS][0]["title"])

    @property
    def missing_names(self) -> list[str]:
        """What the pictures that are missing were called when they were given."""
        return [str(row["name"]) for row in self.images if row["sha256"] in self.missing]

    @model_serializer(mode="wrap")
    def _without_empty(self, write: SerializerFunctionWrapHandler) -> Json:
        """A whole one is written as it always was, so that older versions read it."""
        written: Json = write(self)
        if not self.missing:
            del written["missing"]
        return written


class Arrival(BaseModel):
    """What came of bringing a parcel in."""

    brief_id: str
    title: str
    outcome: Literal["new", "copy", "here"]
    records: int = Field(description="How many records were added")
    missing: list[str] = Field([], description="Names of pictures whose files did not come with it")
    said: str = Field(description="All of it in words")


def pack(desk: Desk, brief_id: str, *, offcuts: bool = True, revisions: bool = True) -> Parcel:
    """The whole of a brief. Raises NotFound if it is not here or lies in the offcuts bin.

    offcuts : with what lies in the bin; without, only what something here still points at.
    revisions : with its frozen revisions.
    """
    present(desk, Brief, brief_id)
    found = _gather(desk, [(BRIEFS, brief_id)], brief_id, offcuts=offcuts, revisions=revisions)
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
        links=_ties(desk, found),
        images=read_rows(desk, images(), "sha256", sorted(hashes - {None})),
    )


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
        owned, pieces = _split(arrived)
        found = {unit.root: here.has(unit, arrived) for unit in pieces}
        others = [unit for unit in pieces if found[unit.root] == "other"]
        if not others:  # the brief is looked at last, with its pieces as they will be
            found[owned.root] = here.has(owned, arrived)
            others = [owned] if found[owned.root] == "other" else []
            was_in_bin |= bool(others) and here.in_bin(owned)
        if not others:
            break
        ids = {old: new for unit in others for old, new in _new_ids(unit).items()}
        arrived = relinked(arrived, ids)
        renamed |= set(ids.values())
    added = {key for unit in (owned, *pieces) if found[unit.root] == "no" for key in unit.rows}
    _keep_pictures(desk, arrived, picture)
    if added:
        put_in(desk, arrived, added)
    return _arrival(desk, parcel, arrived, found, renamed, len(added), was_in_bin=was_in_bin)


# What belongs together.


def _gather(
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
    return all(end in found for end in _ends(kinds()[key[0]], row))


def _ties(desk: Desk, found: Mapping[Key, Row]) -> dict[str, list[Row]]:
    tied = {}
    for name, kind in links().items():
        first, to = next(iter(kind.pointers.items()))
        rows = read_rows(desk, kind, first, [one for at, one in found if at == to])
        rows = [row for row in rows if all(key in found for key in _ends(kind, row))]
        if rows:
            tied[name] = rows
    return tied


def _ends(kind: RecordTable, row: Row) -> list[Key]:
    return [(to, record_id) for _, to, record_id in pointing(kind, row)]


@dataclass
class _Unit:
    """Records that come in together or not at all: the brief's own, or one piece of the rack."""

    root: Key
    rows: dict[Key, Row] = field(default_factory=dict)
    ties: list[tuple[str, Row]] = field(default_factory=list)


def _split(parcel: Parcel) -> tuple[_Unit, list[_Unit]]:
    """What the brief owns, and the pieces that it shares with other briefs."""
    rows = {(kind.name, row["id"]): (kind, row) for kind, row in parcel.rows()}
    owned = {key for key, (_, row) in rows.items() if key[0] == BRIEFS or row.get("brief_id")}
    ends = {key: set(_ends(*one)) for key, one in rows.items()}
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
    units: dict[Key, _Unit] = {}
    whole = _Unit((BRIEFS, parcel.brief_id))
    for key, (_, row) in rows.items():
        unit = whole if key in owned else units.setdefault(first(key), _Unit(first(key)))
        unit.rows[key] = row
    for kind, row in parcel.ties():
        at = next((end for end in _ends(kind, row) if end not in group), None)
        unit = whole if at else units[first(_ends(kind, row)[0])]
        unit.ties.append((kind.name, row))
    for unit in units.values():  # a piece is known by itself, not by its photograph
        unit.root = next((key for key in unit.rows if key[0] == MATERIALS), unit.root)
    return whole, list(units.values())


class _Here:
    """What of a parcel is here already."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    def at_all(self, unit: _Unit) -> Literal["no", "other"]:
        by_kind: dict[str, list[str]] = defaultdict(list)
        for name, record_id in unit.rows:
            by_kind[name].append(record_id)
        known = any(read_rows(self.desk, kinds()[name], "id", ids) for name, ids in by_kind.items())
        return "other" if known else "no"

    def in_bin(self, unit: _Unit) -> bool:
        name, record_id = unit.root
        found = read_rows(self.desk, kinds()[name], "id", [record_id])
        return bool(found) and found[0]["binned_utc"] is not None

    def has(self, unit: _Unit, parcel: Parcel) -> Literal["no", "same", "other"]:
        """Whether nothing of it is here, all of it and nothing else, or something other."""
        if self.at_all(unit) == "no":
            return "no"
        name, record_id = unit.root
        of_brief = record_id if name == BRIEFS else None
        found = _gather(self.desk, [unit.root], of_brief, offcuts=True, revisions=True)
        if unit.root not in found:
            return "other"
        local = Parcel(
            program="",
            brief_id=parcel.brief_id,
            records=_by_kind(found),
            links=_ties(self.desk, found),
        )
        for row in local.records.get(REVISIONS, ()):
            _document(row)  # one that an earlier version froze, as this one writes it
        owned, pieces = _split(local)
        there = owned if of_brief else next(one for one in pieces if unit.root in one.rows)
        return "same" if _content(there) == _content(unit) else "other"


def _by_kind(found: Mapping[Key, Row]) -> dict[str, list[Row]]:
    rows: dict[str, list[Row]] = defaultdict(list)
    for (name, _), row in found.items():
        rows[name].append(row)
    return dict(rows)


def _content(unit: _Unit) -> tuple[dict[Key, Row], list[tuple[str, list[str]]]]:
    return (
        {
            key: {name: value for name, value in row.items() if name not in TRACES}
            for key, row in unit.rows.items()
        },
        sorted((name, [str(value) for value in row.values()]) for name, row in unit.ties),
    )


def _new_ids(unit: _Unit) -> dict[str, str]:
    """New ULIDs of the same times and in the same order, which is that of making.

    In place of chance they hold a digest of what is copied, so that the same thing that comes in
    again is known by the ids of its first copy.
    """
    rows, ties = _content(unit)
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


# Checking and putting in.


def check(parcel: Parcel) -> None:
    """Bring the rows into this program's form; ParcelError for what it could not have written."""
    for tables, those in ((kinds(), parcel.records), (links(), parcel.links)):
        for name, rows in those.items():
            if name not in tables:
                raise _newer(f"“{shortened_name(name)}”")
            rows[:] = [_checked(tables[name], row) for row in rows]
    parcel.images[:] = [_checked(images(), row) for row in parcel.images]
    _check_ids(parcel)
    if parcel.records[BRIEFS][0]["binned_utc"] is not None:
        raise ParcelError("the brief in it lies in the offcuts bin")
    pictures = [row["sha256"] for row in parcel.images]
    if len(set(pictures)) < len(pictures):
        raise ParcelError("a picture is listed twice in it")
    shown = {row[column] for kind, row in parcel.rows() for column in kind.pictures} - {None}
    for row in parcel.records.get(REVISIONS, ()):
        old = _document(row)
        shown |= {image["sha256"] for image in old.images}
    if shown - set(pictures):
        raise ParcelError("a picture that it shows is not listed in it")
    if set(parcel.missing) - set(pictures):
        raise ParcelError("a picture that it says is missing is not listed in it")


def _document(row: Row) -> Parcel:
    try:
        old: Parcel = Parcel.model_validate(row["document"])
    except ValidationError as exc:
        raise ParcelError("what a revision in it holds is no brief") from exc
    if old.records.get(REVISIONS):
        raise ParcelError("a revision in it holds revisions of its own")
    check(old)
    row["document"] = old.model_dump(mode="json", by_alias=True)
    return old


def _check_ids(parcel: Parcel) -> None:
    if [row["id"] for row in parcel.records.get(BRIEFS, ())] != [parcel.brief_id]:
        raise ParcelError("it must hold one brief, the one that it is named by")
    known = {(kind.name, row["id"]) for kind, row in parcel.rows()}
    counts = Counter(record_id for _, record_id in known)
    if len(known) < sum(map(len, parcel.records.values())) or max(counts.values()) > 1:
        raise ParcelError("an id stands for two things in it")
    for kind, row in [*parcel.rows(), *parcel.ties()]:
        for column, to, record_id in pointing(kind, row):
            if (to, record_id) not in known:
                raise ParcelError(
                    f"one of its {kind.name.replace('-', ' ')} points at what is not in it "
                    f"({column})"
                )
        if "about_id" in row and kind_about(row["about_kind"]) is None:
            raise _newer(f"notes on “{shortened_name(row['about_kind'])}”")
        if row.get("brief_id") not in (None, parcel.brief_id):
            raise ParcelError("something in it belongs to another brief")


def _checked(kind: RecordTable, row: Row) -> Row:
    try:
        return kind.row.model_validate(row).model_dump(mode="json")
    except ValidationError as exc:
        first = exc.errors()[0]
        where = ".".join(map(str, first["loc"]))
        several = kind.name.replace("-", " ")
        if first["type"] == "extra_forbidden":
            raise _newer(f"“{shortened_name(where)}” of its {several}") from exc
        raise ParcelError(
            f"one of its {several} is not as this program writes it: {shortened_name(where)} "
            "is missing or of another kind"
        ) from exc


def shortened_name(name: str) -> str:
    """A name out of a file nobody here wrote, fit for one line of a message."""
    line = clean_line(name)
    return line if len(line) <= 40 else line[:39] + "…"


def _newer(what: str) -> ParcelError:
    return ParcelError(
        f"it holds {what}, which this version of the program does not know; it may come from a "
        "newer one: install that and try again"
    )


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
            write_rows(desk, kind, [row for row in rows if _ends(kind, row)[0] in added])
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


def _arrival(
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


def schema() -> Json:
    """The JSON Schema (2020-12) of the document, with every column of every table in it."""
    described = Parcel.model_json_schema(by_alias=True)
    rows = [kind.row for kind in (*kinds().values(), *links().values(), images())]
    # All in one go: pydantic then tells apart two models of one name, such as the part of a spec
    # and the part of a kind of instrument.
    places, definitions = models_json_schema([(row, "validation") for row in rows])

    def row_of(kind: RecordTable) -> Json:
        return places[(kind.row, "validation")]

    for part, tables in (("records", kinds()), ("links", links())):
        fields = {name: {"type": "array", "items": row_of(kind)} for name, kind in tables.items()}
        described["properties"][part] |= {"properties": fields, "additionalProperties": False}
    described["properties"]["images"]["items"] = row_of(images())
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **described,
        "title": "A brief, taken along",
        **definitions,
    }
