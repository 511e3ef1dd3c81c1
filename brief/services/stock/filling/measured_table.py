"""A table of boards that somebody else measured: CSV, Parquet or CGATS text, row by row."""

from __future__ import annotations

import hashlib
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path
from typing import get_args

from pydantic import ValidationError

from brief.colour.notation.adaptation import Lab, reading_to_lab
from brief.colour.notation.cgats import CgatsSample, read_cgats_rows
from brief.errors import InputError, quoted
from brief.photo.wood.figure import FigureWord
from brief.services.common.colour_view import READING_UNCERTAINTY
from brief.services.photos.pictures import title_from
from brief.services.stock.filling.details import (
    FILE,
    HEADS,
    Columns,
    Details,
    cells_of,
    column_of,
    columns_of,
    currency_of,
    details_from,
    said_of,
)
from brief.services.stock.filling.rows import (
    MOST_BYTES,
    PARQUET,
    Rows,
    Torn,
    csv_rows,
    parquet_rows,
)

MOST_SAMPLES = 200_000  # of a CGATS text, which is read whole
LIGHT = "D65/2"
_UNDECLARED = (
    "The table does not say under which light and observer it was measured; D65 and 2° were "
    "taken. A column “light” says it, such as D50/2."
)
MEASURED: Mapping[str, str] = {
    **{head: name for name in ("L", "a", "b") for head in (name.lower(), f"{name}*".lower())},
    **{f"lab_{name}".lower(): name for name in ("L", "a", "b")},
    **{name: name for name in ("light", "uncertainty", "spread", "figure", "grain_deg")},
}
KNOWN = {**HEADS, **MEASURED}
_NEEDED = dict.fromkeys(("L", "a", "b"), "for the colour that was measured (CIELAB)")
_LIGHT = re.compile(r"([A-Za-z]+[0-9]*)(?:\s*[/,;]\s*(\d+)\s*°?)?")


@dataclass(frozen=True)
class SaidBoard:
    """A row as a board. key : a SHA-256 of what the row is called, by which it is known again.

    lab : CIELAB, D65 / 2°. uncertainty : CIEDE2000. spread : of its figure, CIEDE2000. figure : ""
    if the row says none. note : a sentence on what had to be taken for granted.
    """

    key: str
    file: str
    label: str
    details: Details
    lab: Lab
    uncertainty: float
    spread: float | None = None
    figure: str = ""
    grain_deg: float | None = None
    note: str = ""


@dataclass(frozen=True)
class Refused:
    """A row that cannot be used, by its line in the file, and why."""

    line: int
    reason: str


def is_known(title: str) -> bool:
    """Whether a column that is headed so says something that a board has."""
    return column_of(title, KNOWN)[0] in KNOWN.values()


def read_boards(path: Path, currency: str = "EUR") -> Iterator[SaidBoard | Refused]:
    """Each row of a table, in its order; what form it has is told by how it begins.

    currency : of prices that name none. Raises InputError for a file that is no such table, or has
    no colour in it, before the first row.
    """
    try:
        with path.open("rb") as file:
            begins = file.read(len(PARQUET))
            data = begins if begins == PARQUET else begins + file.read(MOST_BYTES + 1)
    except OSError as exc:
        raise InputError(f"{path} cannot be opened: {exc.strerror or exc}") from exc
    if data == PARQUET:
        return _of_rows(parquet_rows(path), str(path), currency)
    if len(data) > MOST_BYTES:
        raise InputError(f"{path} is larger than {MOST_BYTES // 2**20} MB")
    if re.search(rb"^\s*BEGIN_DATA_FORMAT\b", data, re.MULTILINE):
        return _of_samples(data)
    # A row in another code is refused by itself.
    text = data.decode("utf-8-sig", "surrogateescape")
    first = text.partition("\n")[0]
    if not first.isprintable() and not first.replace("\t", "").rstrip("\r").isprintable():
        raise InputError(f"{path} is no table: it takes a text in UTF-8 (CSV or CGATS), or Parquet")
    return _of_rows(csv_rows(text, str(path)), str(path), currency)


def _of_rows(table: Rows, name: str, currency: str) -> Iterator[SaidBoard | Refused]:
    columns = columns_of(table.head, name, _NEEDED, KNOWN)
    lights = {unit for field, unit in columns if field in _NEEDED and unit}
    if len(lights) > 1:
        raise InputError(f"{name} has L, a and b under several lights: {', '.join(sorted(lights))}")
    currency = currency_of(columns, currency)
    return _each(table, columns, currency, next(iter(lights), ""))


def _each(
    table: Rows, columns: Columns, currency: str, light: str
) -> Iterator[SaidBoard | Refused]:
    calls = _Calls()
    try:
        for line, row in table.rows:
            try:
                if len(row) > len(columns):
                    raise InputError(
                        f"it has {len(row)} cells for {len(columns)} columns; a text or number "
                        "that holds what parts the cells must stand in quotation marks"
                    )
                cells = cells_of(columns, row)
                cells["light"] = cells.get("light") or light
                yield _board(cells, currency, calls)
            except (ValidationError, InputError) as exc:
                yield Refused(line, "; ".join(said_of(exc)))
    except Torn as exc:
        yield Refused(0, str(exc))


def _board(cells: dict[str, str], currency: str, calls: _Calls) -> SaidBoard:
    if any("\ud800" <= letter <= "\udfff" for cell in cells.values() for letter in cell):
        raise InputError("it is not text in UTF-8; save the table as “CSV UTF-8”")
    values = [_number(cells, name, *_RANGES[name]) for name in ("L", "a", "b")]
    light, observer = _light(cells.pop("light", ""))
    read = reading_to_lab(values, "lab", light or "D65", observer or "2")
    told = _number_if_any(cells, "uncertainty", 0.01, 100)
    spread = _number_if_any(cells, "spread", 0, 100)
    grain = _number_if_any(cells, "grain_deg", 0, 180)
    figure = cells.pop("figure", "")
    if figure not in ("", *get_args(FigureWord)):
        cells["figure as said"], figure = figure, ""  # the merchant's own word for it
    file = cells.pop(FILE, "").replace("\\", "/")
    if len(file) > 500:
        raise InputError.at("file", "it must have at most 500 letters")
    details = details_from(cells, currency)
    return SaidBoard(
        key=calls.key(file, details.label),
        file=file,
        label=details.label or title_from(file),
        details=details,
        lab=read.lab,
        uncertainty=math.hypot(READING_UNCERTAINTY if told is None else told, read.uncertainty),
        spread=spread,
        figure=figure,
        grain_deg=None if grain is None else grain % 180,
        note=_UNDECLARED if not light else read.note,
    )


def _of_samples(data: bytes) -> Iterator[SaidBoard | Refused]:
    rows = read_cgats_rows(data, longest=MOST_BYTES, most=MOST_SAMPLES)
    first = list(islice(rows, 1))  # what is wrong with the whole of it is raised now
    if not first:
        raise InputError("the table has no sample between BEGIN_DATA and END_DATA")
    return _each_sample(chain(first, rows))


def _each_sample(rows: Iterable[tuple[int, CgatsSample | str]]) -> Iterator[SaidBoard | Refused]:
    calls = _Calls()
    for line, found in rows:
        if isinstance(found, str):
            yield Refused(line, found)
            continue
        try:
            details = Details(label=found.name)
        except ValidationError as exc:
            yield Refused(line, "; ".join(said_of(exc)))
            continue
        told = found.uncertainty if found.is_told else None
        yield SaidBoard(
            key=calls.key("", details.label),
            file="",
            label=details.label,
            details=details,
            lab=found.lab,
            uncertainty=(
                math.hypot(READING_UNCERTAINTY, found.uncertainty) if told is None else told
            ),
            note=" ".join(found.warnings),
        )


class _Calls:
    """What the rows of one table are called: by their file, or by their label and which of those
    that have it.
    """

    def __init__(self) -> None:
        self._files: set[str] = set()
        self._labels: Counter[str] = Counter()

    def key(self, file: str, label: str) -> str:
        """Raises InputError for a row that has neither, or a file that was there before."""
        if file in self._files:
            raise InputError(f"{quoted(file)} is there twice")
        if file:
            self._files.add(file)
            called = f"file\n{file}"
        elif label:
            self._labels[label] += 1
            called = f"label\n{label}\n{self._labels[label]}"
        else:
            raise InputError("it has neither a label nor a file to be called by")
        return hashlib.sha256(called.encode()).hexdigest()


_RANGES = {"L": (0.0, 100.0), "a": (-200.0, 200.0), "b": (-200.0, 200.0)}


def _number(cells: dict[str, str], name: str, low: float, high: float) -> float:
    found = _number_if_any(cells, name, low, high)
    if found is None:
        raise InputError.at(name, "it has no value")
    return found


def _number_if_any(cells: dict[str, str], name: str, low: float, high: float) -> float | None:
    """With a point or a comma for its decimals: none of these has thousands."""
    text = cells.pop(name, "")
    if not text:
        return None
    try:
        value = math.nan if "_" in text else float(text.replace(",", ".").replace("−", "-"))
    except ValueError:
        value = math.nan
    if not low <= value <= high:
        raise InputError.at(
            name, f"it must be a number from {low:g} to {high:g}; got {quoted(text)}"
        )
    return value


def _light(text: str) -> tuple[str, str]:
    if not text:
        return "", ""
    parts = _LIGHT.fullmatch(text)
    if not parts:
        raise InputError.at("light", f"write it as D50/2 or D65/10; got {quoted(text)}")
    return parts[1], parts[2] or "2"
