"""All colours of a stock in memory: read once by each process, and again once the stock changed."""

from __future__ import annotations

from dataclasses import dataclass
from threading import Lock

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import select

from brief.colour.nearest import Nearest
from brief.colour.spaces import Array
from brief.store.desk import Desk
from brief.store.records import Board, Stock

MOST_KEPT = 4  # stocks; one of 200,000 boards takes some 50 MB


@dataclass(frozen=True)
class StockColours:
    """ids : of the boards, in the order they were measured. labs : CIELAB, D65 / 2°, shape (n, 3).
    uncertainties : CIEDE2000, shape (n,). nearest : of those labs.
    """

    edition: int
    ids: NDArray[np.str_]
    labs: Array
    uncertainties: Array
    nearest: Nearest


_kept: dict[tuple[str, str, str], StockColours] = {}
_reading = Lock()  # whoever comes second need not read 200,000 rows again


def colours_of(desk: Desk, stock: Stock) -> StockColours:
    """The colours of a stock as this transaction has them."""
    # The workshops of one server's database have the same URL.
    key = (str(desk.connection.engine.url), desk.mark, stock.id)
    with _reading:
        found = _kept.pop(key, None)
        if found is None or found.edition != stock.edition:
            found = _read(desk, stock)
        _kept[key] = found  # the latest last
        while len(_kept) > MOST_KEPT:
            del _kept[next(iter(_kept))]
    return found


def _read(desk: Desk, stock: Stock) -> StockColours:
    rows = desk.session.execute(
        select(Board.id, Board.lightness, Board.a, Board.b, Board.uncertainty)
        .where(Board.stock_id == stock.id)
        .order_by(Board.id)
    ).all()
    figures = np.array([row[1:] for row in rows], dtype=float).reshape(-1, 4)
    labs = figures[:, :3]
    seeable = np.column_stack([np.clip(labs[:, 0], 0, 100), labs[:, 1:]])
    return StockColours(
        stock.edition,
        np.array([row[0] for row in rows], dtype="U26"),
        seeable,
        figures[:, 3],
        Nearest(seeable),
    )


def within(lightness: float) -> float:
    """CIELAB lightness from black to white: what a card in the shade makes of the wood beside it
    may be beyond.
    """
    return min(max(lightness, 0.0), 100.0)
