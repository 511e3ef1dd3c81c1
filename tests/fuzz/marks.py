"""A home in which every field that can hold words, money, hours or a day says which field it is.

The columns are asked, so that a new one joins by itself; one whose words cannot be any text is
named here with why. A mark tells the table and column that it stands in, whether its row is of what
others may be shown at all, and whether it was put there before or after a revision was frozen.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from sqlalchemy import JSON, Column, Date, Float, RowMapping, String, Table, insert, select, update

from brief.services import nouns
from brief.services.common.naming import BY_KIND
from brief.store.desk import Desk
from brief.store.records import Base, Exact, Record, new_id

WORD = re.compile(rb"qzx[a-z]{3}", re.IGNORECASE)
LETTERS = "abcdefghijklmnopqrstuvwxyz"
FIRST_NUMBER, FIRST_YEAR = 71007, 2101  # what says a sum; what says a day
FINELY = Decimal("0.00031")  # in percent and hours, which have limits: 71.00731
PERCENT = {"margin", "commission", "share"}


def _names(those: str) -> frozenset[str]:
    return frozenset(those.split())


# Columns of text that are no free text, by name, or by table and name.
PROGRAMS_WORDS = _names(
    "about_kind kind state came_by role zone purpose heap usual view lies_on shape asked "
    "algorithm stuff cut light chart_age card second_card correct_by sheet check_at halves "
    "stage figure currency media_type letter"
)
READ_AS_NUMBERS = _names(
    "humidity temperature reading overhead region card_region second_card_region chart_corners "
    "sheet_corners scale_points grain_line inside surround_region leaves_at arrives_at from_at "
    "until_at path"
)
NAMES_OF_THINGS = _names(
    "id binned_with about_id sha256 token_sha256 photo_sha256 made_of annotation_id hashed"
)
NO_FREE_TEXT = PROGRAMS_WORDS | READ_AS_NUMBERS | NAMES_OF_THINGS
# JSON: where in it words of a person stand, and what holds none.
IN_JSON: Mapping[str, tuple[str, ...]] = {
    "kinds.drawing": ("name",),
    "kinds.parts": ("name", "sizes"),
    "boards.more": ("*",),
    "inlays.remarks": ("*",),
    "studio_pictures.said": ("*",),
}
NO_WORDS_IN = _names(
    "week_h numbers outline as_typed points findings lab cells shot_lab correction selections "
    "shift colours accents measured asked_ground_lab asked_inlay_lab chosen_material_lab "
    "chosen_swatch_lab laying frets choices follows sheets document"
)
# Nothing of these is marked: what opens a home stands in some, which is looked for as it is; and
# who shares a server, which is empty where one maker is alone.
OF_THE_DOOR = _names(
    "homes passphrases sign_ins workshops makers members invitations loans handed_in doings"
)
# What guests may speak of; of what is said and noted about anything else they hear nothing.
SPOKEN_OF = ("brief", "motif", "reference", "part", "pairing")


@dataclass(frozen=True)
class Mark:
    """Where a mark stands. kept : in a row that nobody outside may see any field of."""

    table: str
    column: str
    kept: bool
    edition: str

    @property
    def field(self) -> str:
        return f"{self.table}.{self.column}"


class Marks:
    """All marks, and what each of them means."""

    def __init__(self) -> None:
        self.words: dict[bytes, Mark] = {}
        self.numbers: dict[int, str] = {}
        self.years: dict[int, str] = {}
        self._known: dict[Mark, str] = {}

    def word(self, mark: Mark) -> str:
        if mark not in self._known:
            number = len(self._known)
            found = "qzx" + "".join(LETTERS[number // 26**place % 26] for place in (2, 1, 0))
            self._known[mark] = found
            self.words[found.encode()] = mark
        return self._known[mark]

    def number(self, field: str) -> int:
        return _numbered(self.numbers, field, FIRST_NUMBER, 10)

    def year(self, field: str) -> int:
        return _numbered(self.years, field, FIRST_YEAR, 1)


def _numbered(known: dict[int, str], field: str, first: int, step: int) -> int:
    found = next((number for number, one in known.items() if one == field), None)
    if found is None:
        found = first + step * len(known)
        known[found] = field
    return found


def marked_columns(table: Table) -> Iterator[Column[Any]]:
    """Those that are marked. Fails for one of JSON that nobody has looked at."""
    for column in table.columns:
        is_text = isinstance(column.type, String) and not isinstance(column.type, Exact)
        if column.foreign_keys or (is_text and column.name in NO_FREE_TEXT):
            continue
        if isinstance(column.type, JSON):
            field = f"{table.name}.{column.name}"
            assert (field in IN_JSON) != (column.name in NO_WORDS_IN), (
                f"say in {__name__} where words stand in {field}, or that none do"
            )
            if field in IN_JSON:
                yield column
        elif is_text or isinstance(column.type, Exact | Date) or _is_hours(column):
            yield column


def _is_hours(column: Column[Any]) -> bool:
    return isinstance(column.type, Float) and column.name.endswith("_h")


def tables() -> list[Table]:
    """All that hold anything of a maker."""
    return [one for one in Base.metadata.sorted_tables if one.name not in OF_THE_DOOR]


def record_tables() -> dict[str, type[Record]]:
    return {one.__tablename__: one for one in BY_KIND.values()}


def add_hidden_rows(desk: Desk) -> None:
    """Of every kind of record one in the offcuts bin, and a private one where there are such: a
    copy of one that is there."""
    for table in tables():
        if table.name not in record_tables():
            continue
        row = desk.session.execute(select(table).order_by(table.c.id)).mappings().first()
        assert row is not None, f"the whole brief has no {table.name}"
        _copy_of(desk, table, row, binned_utc=row["created_utc"])
        if "private" in table.c:
            _copy_of(desk, table, row, private=True)


def _copy_of(desk: Desk, table: Table, row: RowMapping, **changed: object) -> None:
    fields = dict(row) | {"id": new_id()} | changed
    if "token_sha256" in fields:
        fields["token_sha256"] = new_id().rjust(64, "0")
    if "annotation_id" in fields:
        fields["annotation_id"] = None
    desk.session.execute(insert(table).values(fields))


def kept_ids(desk: Desk, brief_id: str) -> set[str]:
    """The ids of all rows that nobody outside may see anything of, whatever the brief shows."""
    rows = {table.name: list(desk.session.execute(select(table)).mappings()) for table in tables()}
    records = {name: rows[name] for name in record_tables()}
    kept = {
        row["id"]
        for name, found in records.items()
        for row in found
        if row["binned_utc"]
        or row.get("private")
        or row.get("about_kind", "brief") not in SPOKEN_OF
        or (name == "briefs" and row["id"] != brief_id)
    }
    open_questions = {row["id"] for row in records["questions"] if row["state"] == "open"}
    hangs = {noun.record.__tablename__: tuple(noun.hangs_by) for noun in nouns.NOUNS}
    while True:
        more = {
            row["id"]
            for name, found in records.items()
            for row in found
            if row["id"] not in kept
            and (
                any(row[field] in kept for field in hangs[name] if row[field])
                or any(choice["id"] in kept for choice in row.get("choices", ()))
                or row.get("question_id") in open_questions
            )
        }
        if not more:
            break
        kept |= more
    used = {
        row[field]
        for name, fields in (("parts", ["material_id"]), ("pairings", ["ground_id", "inlay_id"]))
        for row in records[name]
        for field in fields
        if row["id"] not in kept
    }
    asked = {
        choice["id"]
        for row in records["questions"]
        if row["id"] not in kept
        for choice in row["choices"]
    }
    kept |= {row["id"] for row in records["materials"]} - used - asked
    return kept | {row["id"] for row in rows["boards"]}


def mark(desk: Desk, marks: Marks, brief_id: str, edition: str) -> None:
    """Put a mark into every field, in the place of an earlier one."""
    kept = kept_ids(desk, brief_id)
    for table in tables():
        columns = list(marked_columns(table))
        keys = list(table.primary_key)
        for ordinal, row in enumerate(desk.session.execute(select(table)).mappings().all()):
            changed = {
                column.name: value
                for column in columns
                if (
                    value := _marked(
                        marks, table, column, row, row.get("id") in kept, edition, ordinal
                    )
                )
                is not None
            }
            if changed:
                these = [key == row[key.name] for key in keys]
                desk.session.execute(update(table).where(*these).values(changed))


def _marked(
    marks: Marks,
    table: Table,
    column: Column[Any],
    row: RowMapping,
    kept: bool,
    edition: str,
    ordinal: int,
) -> object:
    field, value = f"{table.name}.{column.name}", row[column.name]
    if not isinstance(column.type, Exact | Float | Date):
        pass
    elif value is None and not kept:
        return None  # a day where there was none would mean something else: a stage that is done
    elif isinstance(column.type, Date):
        year = marks.year(field)
        return (value or date(year, 5, 5)).replace(year=year)
    elif _is_hours(column):
        return float(Decimal(marks.number(field)) / 1000 + FINELY)
    else:
        number = Decimal(marks.number(field))
        return number / 1000 + FINELY if column.name in PERCENT else number
    said = f"{marks.word(Mark(table.name, column.name, kept, edition))} {ordinal}"
    if isinstance(column.type, JSON):
        return _in_json(copy.deepcopy(value), IN_JSON[field], said)
    before = re.sub(r" ?qzx[a-z]{3} \d+$", "", value or "")
    room = (column.type.length or 1000) - len(said) - 1  # type: ignore[attr-defined]
    assert room >= 0, f"{field} is too short for any mark: say in {__name__} what stands there"
    return f"{before[:room]} {said}".strip()


def _in_json(value: Any, keys: tuple[str, ...], said: str) -> Any:
    if isinstance(value, list):
        return (
            [said]
            if not value and "*" in keys
            else [said if isinstance(one, str) else _in_json(one, keys, said) for one in value]
        )
    if isinstance(value, dict) and not value and "*" in keys:
        return {"more": said}
    if isinstance(value, dict):
        return {
            key: said if key in keys or ("*" in keys and isinstance(one, str)) else one
            for key, one in value.items()
        }
    return value
