"""The outer form of a CGATS.17 text file: keywords, named columns, lines of values."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brief.errors import ColourInputError, TooLarge, quoted

LONGEST = 4_000_000  # characters
MOST_SAMPLES = 5000

CONTROL = re.compile(r"[\x00-\x08\x0e-\x19\x1b-\x1f\x7f]")
# A quotation mark in quotes is doubled (CGATS.17, from memory).
_CELLS = re.compile(r'"((?:[^"]|"")*)"|(#.*)|(\S+)')
# What stands where there is no value: common practice, no source.
_GAPS = {"", "-", "--", "---", "*", "n/a", "na", "nan", "null", "none"}
_MARKS = ("BEGIN_DATA_FORMAT", "END_DATA_FORMAT", "BEGIN_DATA", "END_DATA")

_Line = tuple[int, str, list[str]]  # its number, its text, its cells


@dataclass(frozen=True)
class SampleTable:
    """Keywords with their values in the order they come, column names in capitals, and samples.

    `left_out` has, for each sample with too few or too many values, its line and the fault.
    """

    keywords: tuple[tuple[str, str], ...]
    fields: tuple[str, ...]
    rows: tuple[SampleRow, ...]
    left_out: tuple[tuple[int, str], ...] = ()

    def has(self, names: Iterable[str]) -> bool:
        """Whether all of these are columns."""
        return set(names) <= set(self.fields)


@dataclass(frozen=True)
class SampleRow:
    """The values of one sample by column name, and the number of its first line, from 1."""

    number: int
    cells: dict[str, str]

    def has(self, names: Iterable[str]) -> bool:
        """Whether all of these are columns."""
        return set(names) <= self.cells.keys()

    def gap(self, names: Iterable[str]) -> str | None:
        """The first of these columns that has no value here."""
        return next((name for name in names if self.cells[name].lower() in _GAPS), None)

    def value(self, name: str) -> float:
        """The number in one column.

        Raises
        ------
        ColourInputError
            If it is no finite number; the message names the line.
        """
        text = self.cells[name]
        try:
            value = float(text)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise at_line(
                self.number, f"{name} must be a number, written with a point; got {quoted(text)}"
            )
        return value

    def values(self, names: Iterable[str]) -> list[float]:
        """The numbers in several columns; errors as `value`."""
        return [self.value(name) for name in names]


def at_line(number: int, message: object) -> ColourInputError:
    """An error that names the line at fault, from 1."""
    return ColourInputError(f"line {number}: {message}")


def read_tables(
    text: str | bytes, *, longest: int = LONGEST, most: int = MOST_SAMPLES
) -> tuple[SampleTable, ...]:
    """The tables of a CGATS.17 text file; keywords hold for every table after them.

    Parameters
    ----------
    text : str or bytes
        Bytes are UTF-8, or Latin-1 where they are not.
    longest, most : int, above 0
        Characters and samples that it may have.

    Returns
    -------
    tuple of SampleTable
        One or more.

    Raises
    ------
    ColourInputError
        With the number of the line, if the file is not plain text, its counts disagree with its
        lines, or a mark that ends a part is missing.
    TooLarge
        Beyond `longest` or `most`.

    References
    ----------
    ANSI CGATS.17; doubled quotation marks from memory.
    """
    tables: list[SampleTable] = []
    keywords: list[tuple[str, str]] = []
    fields: tuple[str, ...] = ()
    if len(text) > longest:
        raise TooLarge(f"a file must have at most {longest:,} characters; got {len(text):,}")
    lines = _lines(text if isinstance(text, str) else _decoded(text))
    for number, _, cells in lines:
        word = cells[0].upper()
        if word == "BEGIN_DATA_FORMAT":
            named = [cells for _, _, cells in _until("END_DATA_FORMAT", lines, number)]
            fields = tuple(cell.upper() for cells in named for cell in cells)
            _agree(number, keywords, "NUMBER_OF_FIELDS", len(fields), "columns are named")
            if twice := sorted({name for name in fields if fields.count(name) > 1}):
                raise at_line(number, f"{twice[0]} is named twice; each column needs its own name")
        elif word == "BEGIN_DATA":
            if not fields:
                raise at_line(number, "no BEGIN_DATA_FORMAT has said what the columns are")
            rows, left_out = _rows(_until("END_DATA", lines, number), fields)
            found = len(rows) + len(left_out)
            _agree(number, keywords, "NUMBER_OF_SETS", found, "samples were found")
            tables.append(SampleTable(tuple(keywords), fields, tuple(rows), tuple(left_out)))
            if (held := sum(len(table.rows) for table in tables)) > most:
                raise TooLarge(f"a file must hold at most {most:,} samples; got {held:,}")
        elif word in _MARKS:
            raise at_line(number, f"{word} without its {word.replace('END', 'BEGIN')}")
        else:
            keywords.append((word, " ".join(cells[1:])))
    if not tables:
        raise ColourInputError(
            "this is not a CGATS text file: nothing lies between BEGIN_DATA and END_DATA"
        )
    return tuple(tables)


def _decoded(text: bytes) -> str:
    try:
        return text.decode("utf-8")
    except UnicodeDecodeError:
        return text.decode("latin-1")


def _lines(text: str) -> Iterator[_Line]:
    """The lines that hold anything but comments."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    for number, line in enumerate(text.split("\n"), 1):
        if CONTROL.search(line):
            raise at_line(number, "this is not plain text; save the table as a text file (UTF-8)")
        found = [match.groups() for match in _CELLS.finditer(line)]
        cells = [
            bare or (quoted or "").replace('""', '"')
            for quoted, comment, bare in found
            if comment is None
        ]
        if cells:
            yield number, line, cells


def _until(mark: str, lines: Iterator[_Line], began: int) -> Iterator[_Line]:
    """The lines up to the mark, which is used up."""
    for line in lines:
        word = line[2][0].upper()
        if word == mark:
            return
        if word in _MARKS:
            raise at_line(line[0], f"{word} before the {mark} of what begins in line {began}")
        yield line
    raise at_line(began, f"the table that begins here has no {mark}; the file may be cut short")


def _rows(
    lines: Iterable[_Line], fields: Sequence[str]
) -> tuple[list[SampleRow], list[tuple[int, str]]]:
    """The samples, each on one line or over several, and those that do not fill the columns."""
    rows: list[SampleRow] = []
    left_out: list[tuple[int, str]] = []
    begun: list[str] = []  # the values so far of a sample that goes on, from line `first` on
    first = 0

    def give_up(number: int, cells: Sequence[str]) -> None:
        if cells:
            left_out.append((number, f"{len(cells)} values for {len(fields)} columns"))

    for line in lines:
        cells = _cells(line, len(fields))
        if len(begun) + len(cells) > len(fields):
            give_up(first, begun)
            begun = []
        first = first if begun else line[0]
        begun = [*begun, *cells]
        if len(begun) == len(fields):
            rows.append(SampleRow(first, dict(zip(fields, begun, strict=True))))
            begun = []
        elif len(begun) > len(fields):
            give_up(first, begun)
            begun = []
    give_up(first, begun)
    return rows, left_out


def _cells(line: _Line, count: int) -> list[str]:
    _, text, cells = line
    if "\t" not in text:
        return cells
    # Where tabs part the columns, names with blanks are often left without quotes, and where there
    # is no value one tab follows another.
    parted = [_unquoted(cell.strip()) for cell in text.split("\t")]
    for end in (-1, 0):
        while len(parted) > count and not parted[end]:
            parted.pop(end)
    return parted if len(cells) != count or (len(parted) == count and "" in parted) else cells


def _unquoted(cell: str) -> str:
    quoted = _CELLS.fullmatch(cell)
    return quoted[1].replace('""', '"') if quoted and quoted[1] is not None else cell.strip('"')


def _agree(
    number: int, keywords: Sequence[tuple[str, str]], word: str, found: int, what: str
) -> None:
    said = [value for key, value in keywords if key == word]
    if said and said[-1] != str(found):
        raise at_line(number, f"{word} says {said[-1]}, but {found} {what}")
