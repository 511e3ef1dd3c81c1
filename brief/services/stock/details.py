"""What a merchant's own table says of each board: a CSV file with a row for each photograph."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from pydantic import Field, ValidationError

from brief.errors import InputError, quoted
from brief.services.common.amounts import Currency, Price, check_amounts
from brief.services.common.field_types import Draft, Line, LongLine
from brief.services.common.typed_numbers import Size

MOST_BYTES = 100 * 2**20
MOST_TOLD = 8  # rows that are at fault, each with its line
FILE = "file"
# The fields of a board by what their columns are headed.
HEADS: Mapping[str, str] = {
    "file": FILE,
    "photo": FILE,
    "photograph": FILE,
    "picture": FILE,
    "label": "label",
    "name": "label",
    "number": "label",
    "species": "species",
    "wood": "species",
    "length": "length_mm",
    "width": "width_mm",
    "thickness": "thickness_mm",
    "price": "price",
    "currency": "currency",
}
# "Length (in)", "price (GBP)", "width_mm"
_IN_UNIT = re.compile(r"(.*?)\s*(?:\(([^()]*)\)|_(mm))\s*")
_BARE = re.compile(r"[\d\s.,/]+")


class Details(Draft):
    """What is said of one board."""

    label: Line = ""
    species: Line = ""
    length_mm: Size | None = None
    width_mm: Size | None = None
    thickness_mm: Size | None = None
    price: Price | None = None
    currency: Currency = "EUR"
    more: dict[Line, LongLine] = Field(default_factory=dict)


def read_details(path: Path, currency: str = "EUR") -> dict[str, Details]:
    """What the table says, by the name of the photograph's file.

    currency : of prices that name none. Raises InputError for a file that is no such table, and for
    rows at fault, each with its line; then none of it counts.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
        text = data.decode("utf-8-sig")
    except OSError as exc:
        raise InputError(f"{path} cannot be opened: {exc.strerror or exc}") from exc
    except UnicodeDecodeError as exc:
        raise InputError(f"{path} is not a text in UTF-8; save it as “CSV UTF-8”") from exc
    if len(data) > MOST_BYTES:
        raise InputError(f"{path} is larger than {MOST_BYTES // 2**20} MB")
    return details_of(text, str(path), currency)


def details_of(text: str, name: str, currency: str = "EUR") -> dict[str, Details]:
    """As `read_details`, of the text of a table that is called `name`."""
    head, *rows = _rows(text, name)
    columns = [_column(title) for title in head]
    fields = [field for field, _ in columns]
    if FILE not in fields:
        raise InputError(
            f"{name} has no column “file” to name each board’s photograph; its first line has: "
            f"{', '.join(filter(None, head)) or 'nothing'}"
        )
    twice = {one for one in fields if one in HEADS.values() and fields.count(one) > 1}
    if twice:
        raise InputError(f"{name} has two columns for the {_plain(min(twice))}")
    named = next((unit for field, unit in columns if field == "price"), "")
    currency = named or currency
    found: dict[str, Details] = {}
    faults: list[str] = []
    for line, row in rows_by_line(rows):
        cells = dict(zip(fields, map(_cell, columns, row), strict=False))
        file = cells.pop(FILE, "")
        if not file:
            faults.append(f"line {line}: it names no file")
        elif file in found:
            faults.append(f"line {line}: {quoted(file)} is there twice")
        else:
            try:
                found[file] = _details(cells, currency)
            except (ValidationError, InputError) as exc:
                faults += [f"line {line}: {one}" for one in _said(exc)]
    if faults:
        more = len(faults) - MOST_TOLD
        rest = f"; and {more} more" if more > 0 else ""
        raise InputError(f"{name} was not read. {'; '.join(faults[:MOST_TOLD])}{rest}")
    return found


def rows_by_line(rows: Sequence[Sequence[str]]) -> Iterator[tuple[int, Sequence[str]]]:
    """The rows that say anything, each with its line in the file."""
    for line, row in enumerate(rows, start=2):
        if any(row):
            yield line, row


def _rows(text: str, name: str) -> list[list[str]]:
    first = text.partition("\n")[0]
    between = max(",;\t", key=first.count)
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=between, strict=True))
    except csv.Error as exc:
        raise InputError(f"{name} is not a table of comma-separated values: {exc}") from exc
    if not rows:
        raise InputError(f"{name} is empty; its first line must name its columns")
    return [[cell.strip() for cell in row] for row in rows]


def _column(title: str) -> tuple[str, str]:
    """The field of a column and the unit in its head: "Length (in)" is ("length_mm", "in")."""
    parts = _IN_UNIT.fullmatch(title)
    name, unit = (parts[1], parts[2] or parts[3] or "") if parts else (title, "")
    field = HEADS.get(name.casefold())
    return (title, "") if field is None else (field, unit)


def _cell(column: tuple[str, str], cell: str) -> str:
    field, unit = column
    meant = field.endswith("_mm") and unit and _BARE.fullmatch(cell)
    return f"{cell} {unit}" if meant else cell


def _details(cells: Mapping[str, str], currency: str) -> Details:
    known = {field: cell for field, cell in cells.items() if cell and field in HEADS.values()}
    more = {title: cell for title, cell in cells.items() if cell and title not in HEADS.values()}
    found = Details.model_validate({"currency": currency, **known, "more": more})
    check_amounts(dict(found), found.currency, "price")
    return found


def _said(exc: ValidationError | InputError) -> Iterator[str]:
    """Each fault of a row in a sentence, with the column it is in."""
    if isinstance(exc, InputError):
        yield f"{', '.join(_plain(one.pointer) for one in exc.faults)}: {exc}".strip(": ")
        return
    for one in exc.errors():
        said = str(one["ctx"]["error"]) if "error" in one.get("ctx", {}) else one["msg"]
        yield f"{_plain(str(one['loc'][0]))}: {said}"


def _plain(field: str) -> str:
    return field.strip("/").removesuffix("_mm")
