"""`brief stock` of a table that somebody measured, in place of a folder."""

from __future__ import annotations

import sys
from pathlib import Path

from brief.cli.commands.keeping.stock import StockAsked, asked_stock, stock_of
from brief.cli.find_brief import opened
from brief.cli.terminal import FOUND, print_json
from brief.english import agree, number_of
from brief.errors import InputError
from brief.services.stock.filling.measured_table import Refused, read_boards
from brief.services.stock.filling.table_keeping import KeptTable, keep_table

MOST_NOTES = 5


def keep_stock_table(home: Path | None, table: Path, asked: StockAsked, *, as_json: bool) -> int:
    """Keep the boards of a table and say what came of each row; 0 if all were kept, otherwise 1.

    Raises InputError for what is no such table, and then nothing is kept.
    """
    if asked.table or asked.scheduler or asked.keep or asked.processes is not None:
        raise InputError(
            f"{table} is a table: --table, --processes, --scheduler and --keep-photographs go with "
            "photographs"
        )
    asked_stock(asked)
    rows = read_boards(table, asked.currency)
    with opened(home) as store:
        try:
            kept = keep_table(store, rows, lambda desk: stock_of(desk, asked))
        except KeyboardInterrupt:
            print("brief: stopped; say the same again to go on.", file=sys.stderr)
            raise
    if as_json:
        print_json(
            {
                "rows": kept.rows,
                "new": kept.new,
                "changed": kept.changed,
                "same": kept.same,
                "photographed": kept.photographed,
                "refused": [{"line": one.line, "reason": one.reason} for one in kept.refused],
                "notes": kept.notes,
            }
        )
    else:
        _say(asked.name, kept)
    return FOUND if kept.refused or not kept.rows else 0


def _say(name: str, kept: KeptTable) -> None:
    print(f"“{name}”: {number_of(kept.new, 'board')} new, without a photograph.")
    if kept.changed:
        print(f"{number_of(kept.changed, 'board')} {_were(kept.changed)} written again.")
    if kept.same:
        print(f"{number_of(kept.same, 'board')} {_were(kept.same)} there as they are.")
    if kept.photographed:
        print(
            f"{number_of(kept.photographed, 'row')} passed over: the stock has the board by its "
            "photograph, which counts."
        )
    for note, rows in [*kept.notes.items()][:MOST_NOTES]:
        print(f"{number_of(rows, 'row')}: {note}")
    if kept.refused:
        print(f"{number_of(len(kept.refused), 'row')} could not be kept:")
        for one in kept.refused:
            print(f"  {_told(one)}")
    if not kept.rows:
        print("The table has no row below its head.")


def _told(one: Refused) -> str:
    return f"line {one.line}: {one.reason}" if one.line else one.reason


def _were(count: int) -> str:
    return agree(count, "was", "were")
