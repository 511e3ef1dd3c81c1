"""Records as plain rows, and back, by the columns of their own tables.

Whatever table or column is added joins by itself; a record whose class says `travels = False`
stays at home. A row has the names of the columns; times are ISO 8601 in UTC, colours and the like
as they are stored, so that nothing is rounded or measured again.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    Strict,
    ValidationError,
    create_model,
)
from sqlalchemy import (
    Boolean,
    Column,
    Date,
    DefaultClause,
    Float,
    Integer,
    String,
    Table,
    insert,
    inspect,
    select,
)
from sqlalchemy.orm import RelationshipDirection

from brief.errors import StoreError
from brief.services.common.finding import in_lots
from brief.services.common.naming import BY_KIND, in_addresses
from brief.services.history.column_forms import shapes
from brief.services.history.column_values import ULID, ExactNumber
from brief.store.desk import Desk
from brief.store.records import Base, Exact, Image, Record, UtcDateTime

Row = dict[str, Any]
SHA256 = "^[0-9a-f]{64}$"
MOST = 10**9  # beyond any figure or count of a workshop
# Of all times; what lies far beyond could be shown in no zone or calendar.
FIRST, LAST = datetime(1970, 1, 1, tzinfo=UTC), datetime(2300, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class RecordTable:
    """The rows of one table. `name` is as addresses have it: "finish-tests"."""

    name: str
    table: Table
    row: type[BaseModel]
    pointers: Mapping[str, str]  # columns that may hold the id of a record, and of which kind

    @property
    def columns(self) -> Mapping[str, Column[Any]]:
        """The columns by their names."""
        return {column.name: column for column in self.table.columns}

    @property
    def pictures(self) -> tuple[str, ...]:
        """Columns that hold the hash of an image."""
        return tuple(
            column.name
            for column in self.table.columns
            for key in column.foreign_keys
            if key.column.table is Image.__table__
        )


@lru_cache
def kinds() -> Mapping[str, RecordTable]:
    """The records that travel, by the name of their kind; each after what it points at."""
    classes = [mapper.class_ for mapper in Base.registry.mappers]
    tables = {one.__table__: one for one in classes if issubclass(one, Record) and one.travels}
    return {
        _name(table): RecordTable(
            _name(table), table, _row_model(table), _pointers(table, tables[table])
        )
        for table in Base.metadata.sorted_tables
        if table in tables
    }


@lru_cache
def links() -> Mapping[str, RecordTable]:
    """The tables that only tie one record to another."""
    mapped = {mapper.local_table for mapper in Base.registry.mappers}
    return {
        _name(table): RecordTable(_name(table), table, _row_model(table), _pointers(table))
        for table in Base.metadata.sorted_tables
        if table not in mapped
        and {_name(key.column.table) for key in table.foreign_keys} <= {*kinds()}
    }


@lru_cache
def images() -> RecordTable:
    """What is known of each stored picture file."""
    table = Base.metadata.tables[Image.__tablename__]
    return RecordTable(_name(table), table, _row_model(table), {})


def kind_about(about_kind: str) -> str | None:
    """The kind of record that a note or comment says it is about: "finish test"."""
    record = BY_KIND.get(about_kind)
    return in_addresses(record) if record is not None and record.travels else None


def pointing(kind: RecordTable, row: Row) -> Iterator[tuple[str, str, str]]:
    """What a row points at: (column, kind, id)."""
    for column, to in kind.pointers.items():
        # A column may hold something else, such as the name of a kind that the program knows.
        if row[column] is not None and to in kinds() and re.match(ULID, row[column]):
            yield column, to, row[column]
    for column, value in row.items():
        for one in value if isinstance(value, list) else ():
            if isinstance(one, dict) and one.keys() == {"kind", "id"}:
                to_kind = kind_about(one["kind"])
                if to_kind is not None:
                    yield column, to_kind, one["id"]
    if "about_id" in row:
        to_kind = kind_about(row["about_kind"])
        if to_kind is not None:
            yield "about_id", to_kind, row["about_id"]


def read_rows(desk: Desk, kind: RecordTable, column: str, values: Iterable[str]) -> list[Row]:
    """The rows that have one of these values there, oldest first.

    Raises StoreError for one that this program could not have written.
    """
    found = []
    for lot in in_lots(list(values)):
        asked = select(kind.table).where(kind.table.c[column].in_(lot))
        for stored in desk.session.execute(asked).mappings():
            found.append(_as_written(kind, dict(stored)))
    return sorted(found, key=lambda row: row.get("id") or list(row.values()))


def _as_written(kind: RecordTable, stored: Row) -> Row:
    try:
        return kind.row.model_validate(stored).model_dump(mode="json")
    except ValidationError as exc:
        where = ".".join(map(str, exc.errors()[0]["loc"]))
        raise StoreError(
            f"The database is damaged: “{where}” of one of its {kind.name.replace('-', ' ')} is "
            "not as this program writes it. Put a backup back: brief restore BACKUP --home "
            "NEW-FOLDER"
        ) from exc


def write_rows(desk: Desk, kind: RecordTable, rows: Iterable[Row]) -> None:
    """Put rows in as they are, their versions and times with them."""
    values = [kind.row.model_validate(row).model_dump() for row in rows]
    if values:
        desk.session.execute(insert(kind.table), values)


def _pointers(table: Table, record: type[Record] | None = None) -> dict[str, str]:
    """By foreign keys, and by what else a record says that it is related to."""
    found = {
        column.name: _name(key.column.table)
        for column in table.columns
        for key in column.foreign_keys
        if key.column.table is not Image.__table__
    }
    for link in inspect(record).relationships if record is not None else ():
        if link.direction is RelationshipDirection.MANYTOONE:
            for column, _ in link.local_remote_pairs or ():
                found.setdefault(column.name, _name(link.mapper.class_.__table__))
    return found


def _name(table: Table) -> str:
    return table.name.replace("_", "-")


def _row_model(table: Table) -> type[BaseModel]:
    """What one row of a table may hold, told from its columns."""
    fields: dict[str, Any] = {column.name: _field(column) for column in table.columns}
    name = "".join(word.capitalize() for word in table.name.split("_")).removesuffix("s")
    return create_model(name, __config__=ConfigDict(extra="forbid"), **fields)


def _field(column: Column[Any]) -> tuple[Any, Any]:
    kind = _type(column)
    if column.nullable:
        return kind | None, None
    # What a column was before there was one; a time or an id can only be what it is.
    default = column.server_default
    if isinstance(default, DefaultClause):
        written = str(default.arg)
        if isinstance(column.type, String):  # as such, or as SQL has it
            return kind, written if isinstance(default.arg, str) else written.strip("'")
        value = json.loads(written)
        return kind, bool(value) if isinstance(column.type, Boolean) else value
    return kind, ...


def _type(column: Column[Any]) -> Any:
    stored = column.type
    shape = shapes().get(f"{column.table.name}.{column.name}")
    if shape is not None:
        return shape
    points_at = {key.column for key in column.foreign_keys}
    if any(key.table is Image.__table__ for key in points_at) or column.name == "sha256":
        return Annotated[str, Strict(), Field(pattern=SHA256)]
    if points_at or column.name in ("id", "about_id", "binned_with"):
        return Annotated[str, Strict(), Field(pattern=ULID)]
    match stored:
        case UtcDateTime():
            return Annotated[AwareDatetime, AfterValidator(_in_utc), Field(ge=FIRST, lt=LAST)]
        case Date():
            return date
        case Exact():
            return ExactNumber
        case Boolean():
            return Annotated[bool, Strict()]
        case Float():
            return Annotated[float, Strict(), Field(ge=-MOST, le=MOST, allow_inf_nan=False)]
        case Integer():
            return Annotated[int, Strict(), Field(ge=-MOST, le=MOST)]
        case String():  # Text, too
            return Annotated[str, Strict(), Field(max_length=stored.length)]
    raise TypeError(f"services/history/column_forms.py says nothing of {column}: {stored!r}")


def _in_utc(value: datetime) -> datetime:
    try:
        return value.astimezone(UTC)
    except OverflowError as exc:
        raise ValueError("this is no day of any calendar") from exc
