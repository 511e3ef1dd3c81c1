"""A stock as a table for other programs: its boards as CSV or Parquet, their colours as CGATS."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from io import TextIOWrapper
from itertools import islice
from typing import IO, Any, Literal

from sqlalchemy import String, cast, select

from brief.colour.notation.cgats import CgatsSample, write_cgats
from brief.services.common.table_cells import cell
from brief.services.stock.colours import within
from brief.services.stock.filling.measured_table import LIGHT, is_known
from brief.services.stock.filling.rows import parquet
from brief.store.desk import Desk
from brief.store.records import Board, Stock

TableForm = Literal["csv", "cgats", "parquet"]
AT_ONCE = 2000  # rows in memory
PLACES = 4  # of a measured number
HEADS = ("label", "file", "species", "length_mm", "width_mm", "thickness_mm", "price", "currency",
         "L", "a", "b", "uncertainty", "spread", "figure", "grain_deg")  # fmt: skip
_COLUMNS = (
    Board.label, Board.file, Board.species, Board.length_mm, Board.width_mm, Board.thickness_mm,
    Board.price, Board.currency, Board.lightness, Board.a, Board.b, Board.uncertainty,
    Board.spread, Board.figure, Board.grain_deg,
)  # fmt: skip
_TEXTS = ("label", "file", "species", "currency", "figure", "light")


def write_table(desk: Desk, stock: Stock, form: TableForm, file: IO[bytes]) -> None:
    """Write all boards of a stock, in the order they were measured.

    Sizes are in mm; L, a, b are CIELAB, D65 / 2°; uncertainty is in CIEDE2000. CSV is
    as RFC 4180 has it. Behind these stand the other columns of the merchant's own tables. Raises
    ColourInputError for CGATS of a stock that has no board, InputError where the library for
    Parquet is not installed.
    """
    if form == "parquet":
        _write_parquet(desk, stock, file)
        return
    text = TextIOWrapper(file, encoding="utf-8", newline="")
    if form == "cgats":
        samples = (
            CgatsSample(row.label, (within(row.lightness), row.a, row.b), row.uncertainty)
            for row in _rows(desk, stock)
        )
        text.write(write_cgats(samples, title=stock.name))
    else:
        others = _others(desk, stock)
        write = csv.writer(text)
        write.writerow([*HEADS, "light", *(cell(title) for title in others.values())])
        write.writerows([_cell(one) for one in row] for row in _values(desk, stock, [*others]))
    text.flush()
    text.detach()


def _write_parquet(desk: Desk, stock: Stock, file: IO[bytes]) -> None:
    library = parquet()
    import pyarrow as pa

    others = _others(desk, stock)
    names = [*HEADS, "light", *others.values()]
    schema = pa.schema([pa.field(name, _kind(pa, name, at)) for at, name in enumerate(names)])
    with library.ParquetWriter(file, schema) as writer:
        rows = _values(desk, stock, [*others])
        while some := list(islice(rows, AT_ONCE)):
            columns = [list(values) for values in zip(*some, strict=True)]
            writer.write_table(pa.table(columns, schema=schema))


def _kind(pa: Any, name: str, at: int) -> Any:
    if name == "price":
        return pa.decimal128(20, 4)  # no currency has more decimals (ISO 4217)
    return pa.string() if name in _TEXTS or at > len(HEADS) else pa.float64()


def _rows(desk: Desk, stock: Stock, *more: Any) -> Iterator[Any]:
    asked = select(*_COLUMNS, *more).where(Board.stock_id == stock.id).order_by(Board.id)
    yield from desk.session.execute(asked.execution_options(yield_per=AT_ONCE))


def _values(desk: Desk, stock: Stock, others: Sequence[str]) -> Iterator[list[Any]]:
    at = HEADS.index("L")
    for *values, more in _rows(desk, stock, Board.more):
        values[at] = within(values[at])
        measured = [round(one, PLACES) + 0.0 if isinstance(one, float) else one for one in values]
        yield [*measured, LIGHT, *(more.get(title) for title in others)]  # none is -0


def _others(desk: Desk, stock: Stock) -> Mapping[str, str]:
    """The other columns that any board has, and what they are headed: not as one of ours."""
    some = select(Board.more).where(Board.stock_id == stock.id)
    rows = desk.session.scalars(some.where(cast(Board.more, String) != "{}"))
    titles = dict.fromkeys(title for more in rows.yield_per(AT_ONCE) for title in more)
    heads = {title: f"their {title}" if is_known(title) else title for title in titles}
    return dict(sorted(heads.items(), key=lambda one: one[1]))


def _cell(value: object) -> object:
    """Numbers stay numbers: a minus before one is no formula."""
    return cell(value) if isinstance(value, str) else value
