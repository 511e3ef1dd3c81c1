"""The rows of a table of somebody else's as texts, cell by cell: of CSV or Parquet."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from brief.errors import InputError
from brief.services.common.table_cells import uncell

MOST_BYTES = 100 * 2**20
MOST_UNPACKED = 2**30  # bytes that a Parquet file may say it unpacks to
AT_ONCE = 2000  # rows of it in memory
PARQUET = b"PAR1"  # how it begins and ends (the Parquet format, "File Format")


class Torn(InputError):
    """A table that cannot be read any further."""


@dataclass(frozen=True)
class Rows:
    """head : the names of the columns. rows : each with its line in the file, or its number where
    a file has no lines; Torn is raised where it cannot be read on.
    """

    head: list[str]
    rows: Iterator[tuple[int, list[str]]]


def csv_rows(text: str, name: str) -> Rows:
    """The rows of a CSV text, parted by whichever of comma, semicolon and tab its first line has
    most of; rows that say nothing are left out. Raises InputError if it is empty.
    """
    first = text.partition("\n")[0]
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count), strict=True
    )
    rows = _csv_rows(reader, name)
    _, head = next(rows, (1, []))
    if not head:
        raise InputError(f"{name} is empty; its first line must name its columns")
    return Rows(head, rows)


def _csv_rows(reader: Any, name: str) -> Iterator[tuple[int, list[str]]]:
    line = 1
    try:
        for row in reader:
            cells = [uncell(cell.strip()) for cell in row]
            if any(cells):
                yield line, cells
            line = reader.line_num + 1
    except csv.Error as exc:
        raise Torn(
            f"{name} is not a table of comma-separated values from line {line} on: {exc}"
        ) from exc


def has_parquet() -> bool:
    """Whether the library that reads and writes Parquet is installed."""
    return find_spec("pyarrow") is not None


def parquet() -> Any:
    """That library, which is an extra. Raises InputError where it is not installed."""
    try:
        import pyarrow.parquet
    except ImportError as exc:
        raise InputError(
            "Parquet needs the library that reads and writes it, which is not installed: "
            'pip install "luthiers-brief[parquet]". CSV needs none'
        ) from exc
    return pyarrow.parquet


def parquet_rows(path: Path) -> Rows:
    """The rows of a Parquet file, a few at a time. Raises InputError for what is none, and for a
    column that holds anything but texts, numbers and days.
    """
    library = parquet()
    from pyarrow import ArrowException

    try:
        file = library.ParquetFile(path)
        groups = [file.metadata.row_group(at) for at in range(file.metadata.num_row_groups)]
        unpacked = sum(group.total_byte_size for group in groups)
        columns = list(file.schema_arrow)
    except (ArrowException, OSError, ValueError) as exc:
        raise InputError(f"{path} is no whole Parquet file: {_first_line(exc)}") from exc
    if unpacked > MOST_UNPACKED:
        raise InputError(f"{path} unpacks to more than {MOST_UNPACKED // 2**20} MB")
    for column in columns:
        if not _is_plain(column.type):
            raise InputError(
                f"{path}: the column “{column.name}” holds {column.type}, which is no text, number "
                "or day; leave it out"
            )
    return Rows([one.name.strip() for one in columns], _parquet_rows(file, path))


def _parquet_rows(file: Any, path: Path) -> Iterator[tuple[int, list[str]]]:
    from pyarrow import ArrowException

    number = 0
    try:
        for some in file.iter_batches(batch_size=AT_ONCE):
            for row in zip(*(column.to_pylist() for column in some.columns), strict=True):
                number += 1
                yield number, [_text(value) for value in row]
    except (ArrowException, OSError, ValueError) as exc:
        said = f"{path} cannot be read from row {number + 1} on: {_first_line(exc)}"
        raise Torn(said) from exc


def _is_plain(kind: Any) -> bool:
    from pyarrow import types

    if types.is_dictionary(kind):
        kind = kind.value_type
    plain = (types.is_string, types.is_large_string, types.is_integer, types.is_floating,
             types.is_decimal, types.is_boolean, types.is_date, types.is_null)  # fmt: skip
    return any(one(kind) for one in plain)


def _text(value: object) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case float() if math.isnan(value):
            return ""  # what other programs write for a gap
        case float() if math.isfinite(value):
            return format(Decimal(repr(value)), "f")
        case Decimal():
            whole = value == value.to_integral_value()
            return format(value.to_integral_value() if whole else value.normalize(), "f")
        case date():
            return value.isoformat()
        case _:
            return str(value).strip()


def _first_line(exc: Exception) -> str:
    return (str(exc).splitlines() or [type(exc).__name__])[0][:200]
