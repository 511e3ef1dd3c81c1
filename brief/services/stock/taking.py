"""Taking a board of a stock into the rack, with where it came from."""

from __future__ import annotations

import numpy as np

from brief.errors import InputError, NotFound, quoted
from brief.photo import Correction, Selection, measure_patch, open_pixels
from brief.services.common.field_types import Columns
from brief.services.photos.findings import SHOWN_PX
from brief.services.photos.measured_area import where_view
from brief.services.rack.materials import free_label, materials
from brief.services.rack.photographs import photographs
from brief.services.rack.piece_views import MaterialDraft
from brief.services.stock.boards import as_piece, lab_of, piece_of
from brief.store.desk import Desk
from brief.store.records import Board, Material, Photograph, Stock, now_utc

LEAST, MOST = 0.01, 100.0  # CIEDE2000 that a reading may be uncertain by
_SAME = ("stuff", "species", "length_mm", "width_mm", "thickness_mm")


def take_board(desk: Desk, stock: Stock, board_id: str) -> Material:
    """A piece of the rack of a board of a stock: its sizes, price and origin, and its photograph
    as the one bare photograph, with what was measured of it. Of a board that came in a table the
    colour is the reading of the piece, which has no photograph.

    Raises NotFound if the stock has no such board, and InputError if it is on the rack already.
    """
    board = desk.session.get(Board, board_id)
    if board is None or board.stock_id != stock.id:
        raise NotFound(f"The stock “{stock.name}” has no board {quoted(board_id[:26])}.")
    there = piece_of(desk, board)
    if there is not None:
        raise InputError(f"This board is on your rack already: “{there.label}”.")
    piece = as_piece(stock, board)
    fields = {name: getattr(piece, name) for name in _SAME}
    record = materials.add(
        desk,
        MaterialDraft(
            label=free_label(desk, board.label),
            **fields,
            price=board.price,
            currency=board.currency,
            provenance=_origin(stock, board),
            **({} if board.image_sha256 else _reading(board)),
        ),
    )
    board.piece_id = record.id
    if board.image_sha256:
        _photographed(desk, board, board.image_sha256, record)
    return record


def _reading(board: Board) -> Columns:
    lightness, a, b = (round(value, 2) + 0.0 for value in lab_of(board))  # none is -0
    return {
        "reading": f"Lab {lightness:g} {a:g} {b:g} D65/2",
        "reading_uncertainty": min(max(board.uncertainty, LEAST), MOST),
    }


def _photographed(desk: Desk, board: Board, sha256: str, record: Material) -> None:
    shot = Photograph(
        material_id=record.id,
        image_sha256=sha256,
        state="bare",
        finish="",
        scale_points=None,
        scale_mm=None,
        grain_line=None,
        cells=_cells(desk, board, sha256),
        **board.measured,
    )
    desk.session.add(shot)
    desk.session.flush()
    photographs.follow(desk, shot)


def _origin(stock: Stock, board: Board) -> str:
    whose = f" ({stock.source})" if stock.source else ""
    how = "" if board.image_sha256 else "colour as its table has it, no photograph; "
    day = f"{now_utc():%Y-%m-%d}"
    return f"From the stock “{stock.name}”{whose}, {board.file or board.label}; {how}taken {day}"[
        :500
    ]


def _cells(desk: Desk, board: Board, sha256: str) -> list[list[float]]:
    """Its figure, worked out of the picture that was kept, about the colour that was measured."""
    measured = board.measured
    where = where_view(measured["selections"], measured["findings"])
    name = desk.image_name(sha256)
    sample = measure_patch(
        open_pixels(desk.images.path(sha256), name=name, within=SHOWN_PX),
        [Selection.parse(text) for text in where.selections],
        [tuple(ring) for ring in where.without],
        correction=Correction.from_dict(measured["correction"]),
        name=name,
    )
    shift = np.append(np.subtract(lab_of(board), sample.lab), 0.0)
    cells: list[list[float]] = np.round(sample.cells + shift, 5).tolist()
    return cells
