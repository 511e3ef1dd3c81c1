"""What a merchant's own table says of each board: a CSV file with a row for each photograph."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from pydantic import Field, ValidationError

from brief.errors import InputError, quoted
from brief.services.common.amounts import Currency, Price, check_amounts
from brief.services.common.field_types import Draft, Line, LongLine
from brief.services.common.typed_numbers import Size
from brief.services.stock.filling.rows import MOST_BYTES, csv_rows

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
    table = csv_rows(text, name)
    columns = columns_of(table.head, name, {FILE: "to name each board’s photograph"})
    currency = currency_of(columns, currency)
    found: dict[str, Details] = {}
    faults: list[str] = []
    for line, row in table.rows:
        cells = cells_of(columns, row)
        file = cells.pop(FILE, "")
        if not file:
            faults.append(f"line {line}: it names no file")
        elif file in found:
            faults.append(f"line {line}: {quoted(file)} is there twice")
        else:
            try:
                found[file] = details_from(cells, currency)
            except (ValidationError, InputError) as exc:
                faults += [f"line {line}: {one}" for one in said_of(exc)]
    if faults:
        more = len(faults) - MOST_TOLD
        rest = f"; and {more} more" if more > 0 else ""
        raise InputError(f"{name} was not read. {'; '.join(faults[:MOST_TOLD])}{rest}")
    return found


Columns = Sequence[tuple[str, str]]


def columns_of(
    head: Sequence[str],
    name: str,
    needed: Mapping[str, str],
    heads: Mapping[str, str] = HEADS,
) -> Columns:
    """The field of each column and the unit in its head: "Length (in)" is ("length_mm", "in").

    needed : the fields that must be there, each with what for. heads : those that are known.
    Raises InputError where one of them is missing, or two columns are one field.
    """
    columns = [column_of(title, heads) for title in head]
    fields = [field for field, _ in columns]
    for field, what_for in needed.items():
        if field not in fields:
            there = ", ".join(filter(None, head))[:300] or "nothing"
            raise InputError(
                f"{name} has no column “{field}” {what_for}; its first line has: {there}"
            )
    twice = {one for one in fields if one in heads.values() and fields.count(one) > 1}
    if twice:
        raise InputError(f"{name} has two columns for the {plain(min(twice))}")
    return columns


def currency_of(columns: Columns, otherwise: str) -> str:
    """The currency in the head of the prices."""
    return next((unit for field, unit in columns if field == "price" and unit), otherwise)


def cells_of(columns: Columns, row: Sequence[str]) -> dict[str, str]:
    """The cells of a row by their fields; bare lengths with the unit of their column."""
    return {column[0]: _cell(column, text) for column, text in zip(columns, row, strict=False)}


def column_of(title: str, heads: Mapping[str, str]) -> tuple[str, str]:
    """The field of one column, or its title where it is none of those that are known; the unit."""
    parts = _IN_UNIT.fullmatch(title)
    name, unit = (parts[1], parts[2] or parts[3] or "") if parts else (title, "")
    field = heads.get(name.casefold())
    return (title, "") if field is None else (field, unit)


def _cell(column: tuple[str, str], cell: str) -> str:
    field, unit = column
    meant = field.endswith("_mm") and unit and _BARE.fullmatch(cell)
    return f"{cell} {unit}" if meant else cell


def details_from(cells: Mapping[str, str], currency: str) -> Details:
    """What the cells of a row say of a board, those of other columns as they are. Raises
    ValidationError, and InputError for an amount of money that cannot be.
    """
    known = {field: cell for field, cell in cells.items() if cell and field in HEADS.values()}
    more = {title: cell for title, cell in cells.items() if cell and title not in HEADS.values()}
    found = Details.model_validate({"currency": currency, **known, "more": more})
    check_amounts(dict(found), found.currency, "price")
    return found


def said_of(exc: ValidationError | InputError) -> Iterator[str]:
    """Each fault of a row in a sentence, with the column it is in."""
    if isinstance(exc, InputError):
        yield f"{', '.join(plain(one.pointer) for one in exc.faults)}: {exc}".strip(": ")
        return
    for one in exc.errors():
        said = str(one["ctx"]["error"]) if "error" in one.get("ctx", {}) else one["msg"]
        yield f"{plain(str(one['loc'][0]))}: {said}"


def plain(field: str) -> str:
    """A field as it is called in a sentence."""
    return field.strip("/").removesuffix("_mm")
