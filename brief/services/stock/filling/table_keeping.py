"""Keeping the boards of a table in a stock, some thousands in each transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from itertools import islice

from sqlalchemy import select

from brief.services.common.field_types import Columns
from brief.services.stock.filling.measured_table import Refused, SaidBoard
from brief.store.desk import Desk, Store
from brief.store.records import Board, Stock

AT_ONCE = 2000  # rows in one transaction


@dataclass
class KeptTable:
    """What came of each row: all of them are in one of the first five.

    new, changed, same : boards. photographed : rows of boards that the stock has by their
    photograph, which counts. refused : the others. notes : what had to be taken for granted, and
    of how many rows.
    """

    new: int = 0
    changed: int = 0
    same: int = 0
    photographed: int = 0
    refused: list[Refused] = field(default_factory=list)
    notes: dict[str, int] = field(default_factory=dict)

    @property
    def kept(self) -> int:
        """How many of its rows are boards of the stock now."""
        return self.new + self.changed + self.same + self.photographed

    @property
    def rows(self) -> int:
        """How many rows are accounted for."""
        return self.kept + len(self.refused)


def keep_table(
    store: Store, rows: Iterator[SaidBoard | Refused], stock_of: Callable[[Desk], str]
) -> KeptTable:
    """Keep the boards of a table; a row that was kept before is written again.

    stock_of : gives the id of the stock, and makes it if need be; asked once there is a board. An
    interruption ends it between two transactions; the next time goes on from there.
    """
    kept = KeptTable()
    while some := list(islice(rows, AT_ONCE)):
        kept.refused += [one for one in some if isinstance(one, Refused)]
        boards = [one for one in some if isinstance(one, SaidBoard)]
        for one in boards:
            if one.note:
                kept.notes[one.note] = kept.notes.get(one.note, 0) + 1
        if boards:
            with store.desk(writing=True) as desk:
                _keep(desk, stock_of(desk), boards, kept)
    return kept


def _keep(desk: Desk, stock_id: str, said: Iterable[SaidBoard], kept: KeptTable) -> None:
    by_key = {one.key: one for one in said}
    of_stock = Board.stock_id == stock_id
    asked = select(Board).where(of_stock, Board.photo_sha256.in_([*by_key]))
    there = {one.photo_sha256: one for one in desk.session.scalars(asked)}
    files = [one.file for one in by_key.values() if one.file]
    shown = select(Board.file).where(of_stock, Board.image_sha256.is_not(None))
    shown_files = set(desk.session.scalars(shown.where(Board.file.in_(files))))
    before = kept.new + kept.changed
    for key, one in by_key.items():
        board, columns = there.get(key), _columns(one)
        if one.file in shown_files:
            kept.photographed += 1
        elif board is None:
            desk.session.add(
                Board(
                    stock_id=stock_id, photo_sha256=key, image_sha256=None, measured={}, **columns
                )
            )
            kept.new += 1
        elif changed := {name: to for name, to in columns.items() if getattr(board, name) != to}:
            for name, value in changed.items():
                setattr(board, name, value)
            kept.changed += 1
        else:
            kept.same += 1
    if kept.new + kept.changed > before:
        desk.session.get_one(Stock, stock_id).edition += 1


def _columns(said: SaidBoard) -> Columns:
    lightness, a, b = said.lab
    return {
        **dict(said.details),
        "label": said.label,
        "file": said.file,
        "lightness": lightness,
        "a": a,
        "b": b,
        "uncertainty": said.uncertainty,
        "spread": said.spread,
        "figure": said.figure,
        "grain_deg": said.grain_deg,
    }
