"""A stock as a table for other programs: its boards as CSV, their colours as CGATS text."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from typing import IO, Literal

from sqlalchemy import select

from brief.colour.notation.cgats import CgatsSample, write_cgats
from brief.services.common.table_cells import cell
from brief.store.desk import Desk
from brief.store.records import Board, Stock

TableForm = Literal["csv", "cgats"]
AT_ONCE = 2000  # rows in memory
HEADS = ("label", "file", "species", "length_mm", "width_mm", "thickness_mm", "price", "currency",
         "L", "a", "b", "uncertainty", "spread", "figure", "grain_deg")  # fmt: skip
PLACES = 4  # of a measured number
_COLUMNS = (
    Board.label, Board.file, Board.species, Board.length_mm, Board.width_mm, Board.thickness_mm,
    Board.price, Board.currency, Board.lightness, Board.a, Board.b, Board.uncertainty,
    Board.spread, Board.figure, Board.grain_deg,
)  # fmt: skip


def write_table(desk: Desk, stock: Stock, form: TableForm, file: IO[str]) -> None:
    """Write all boards of a stock, in the order they were measured.

    Sizes are in mm; L, a, b are CIELAB, D65 / 2°; uncertainty is in CIEDE2000. CSV is
    as RFC 4180 has it. Raises ColourInputError for CGATS of a stock that has no board.
    """
    asked = select(*_COLUMNS).where(Board.stock_id == stock.id).order_by(Board.id)
    rows = desk.session.execute(asked.execution_options(yield_per=AT_ONCE))
    if form == "cgats":
        samples = (
            CgatsSample(row.label, (row.lightness, row.a, row.b), row.uncertainty) for row in rows
        )
        file.write(write_cgats(samples, title=stock.name))
        return
    write = csv.writer(file)
    write.writerow(HEADS)
    write.writerows(_cells(row) for row in rows)


def _cells(values: Iterable[object]) -> list[object]:
    return [_cell(one) for one in values]


def _cell(value: object) -> object:
    """Numbers stay numbers: a minus before one is no formula."""
    if isinstance(value, str):
        return cell(value)
    return round(value, PLACES) + 0.0 if isinstance(value, float) else value  # none is -0
