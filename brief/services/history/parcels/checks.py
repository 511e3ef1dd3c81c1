"""A parcel that comes in, checked: what this program could not have written is refused."""

from __future__ import annotations

from collections import Counter

from pydantic import ValidationError

from brief.errors import ParcelError
from brief.services.common.field_types import clean_line
from brief.services.history.parcels.parcel import BRIEFS, REVISIONS, Parcel
from brief.services.history.row_codec import (
    RecordTable,
    Row,
    images,
    kind_about,
    kinds,
    links,
    pointing,
)


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
        old = frozen_document(row)
        shown |= {image["sha256"] for image in old.images}
    if shown - set(pictures):
        raise ParcelError("a picture that it shows is not listed in it")
    if set(parcel.missing) - set(pictures):
        raise ParcelError("a picture that it says is missing is not listed in it")


def frozen_document(row: Row) -> Parcel:
    """What a revision holds, brought into this program's form in its row, too; ParcelError for what
    is no brief."""
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
