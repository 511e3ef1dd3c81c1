"""The boards of a stock as they are shown, and a board as the piece that it would be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, Field
from sqlalchemy import Result, Row, select
from sqlalchemy.orm import undefer

from brief.services.common.amounts import Price
from brief.services.common.care import Careful, ListingView, careful, listing_view, piece_cautions
from brief.services.common.colour_view import ColourView, colour_view
from brief.services.common.field_types import Id
from brief.services.common.finding import look_up
from brief.services.photos.measured_area import where_view
from brief.services.photos.pictures import PictureView, Tone, picture_view, toned_address
from brief.services.stock.stocks import stocks
from brief.store.desk import Desk
from brief.store.records import Board, Image, Material, Stock


class TakenPiece(BaseModel):
    """A piece of the rack that a board was taken as."""

    id: Id
    label: str


class BoardView(Careful, BaseModel):
    """A board of a stock as it is shown."""

    id: Id
    stock_id: Id
    file: str = Field(
        description="The merchant’s photograph, by its path in the folder; of a board that came in "
        "a table, what that calls it, or empty"
    )
    label: str
    species: str
    length_mm: float | None
    width_mm: float | None
    thickness_mm: float | None
    price: Price | None
    currency: str
    more: dict[str, str] = Field(description="The other columns of the merchant’s table")
    colour: ColourView
    corrected_by: str = Field(description="A chart in the shot, or none")
    spread: float | None = Field(
        description="RMS CIEDE2000 of its own figure; None if a table did not say it"
    )
    figure: str = Field(description="Empty if a table did not say it")
    grain_deg: float | None = Field(
        description="Of the grain: 0 along the picture's width, anticlockwise, below 180"
    )
    picture: PictureView | None = Field(description="None of a board that came in a table alone")
    texture: str | None = Field(description="Where the measured part of its photograph is")
    piece: TakenPiece | None = Field(description="The piece of the rack that was made of it")
    listing: ListingView


def as_piece(stock: Stock, board: Board | Row[Any]) -> Material:
    """The board as a piece of the rack that is not on it: for what is asked of pieces."""
    return Material(
        label=board.label,
        public_name="",
        stuff=stock.stuff,
        species=board.species,
        length_mm=board.length_mm,
        width_mm=board.width_mm,
        thickness_mm=board.thickness_mm,
        as_typed={},
    )


def boards_page(
    desk: Desk, stock: Stock, *, after: str | None = None, skip: int = 0, limit: int | None = None
) -> Sequence[Board]:
    """Up to `limit` boards of a stock as they were measured, from behind the id `after`, or
    without the first `skip`.
    """
    asked = select(Board).where(Board.stock_id == stock.id)
    if after is not None:
        asked = asked.where(Board.id > after)
    return desk.session.scalars(
        asked.order_by(Board.id).offset(skip).limit(limit).options(undefer(Board.measured))
    ).all()


def boards_of(desk: Desk, ids: Sequence[str]) -> Mapping[str, Board]:
    """Boards by their ids."""
    asked = select(Board).where(Board.id.in_(ids)).options(undefer(Board.measured))
    return {one.id: one for one in desk.session.scalars(asked)}


def pieces_of(desk: Desk, stock: Stock, ids: Sequence[str]) -> Mapping[str, Material]:
    """Boards as pieces, by their ids; no more is read of them than that takes."""
    columns = Board.id, Board.label, Board.species
    sizes = Board.length_mm, Board.width_mm, Board.thickness_mm
    asked = select(*columns, *sizes).where(Board.id.in_(ids))
    rows: Result[Any] = desk.session.execute(asked)
    return {one.id: as_piece(stock, one) for one in rows}


def board_views(desk: Desk, boards: Sequence[Board]) -> list[BoardView]:
    """Boards as they are shown; stocks, pictures and pieces are looked up once for all."""
    look_up(desk, Image, [one.image_sha256 for one in boards if one.image_sha256])
    look_up(desk, Material, [one.piece_id for one in boards if one.piece_id])
    held = {one: stocks.get(desk, one) for one in {one.stock_id for one in boards}}
    return [_view(desk, held[one.stock_id], one) for one in boards]


def _view(desk: Desk, stock: Stock, board: Board) -> BoardView:
    piece = as_piece(stock, board)
    taken = piece_of(desk, board)
    sha256 = board.image_sha256
    return BoardView(
        **{name: getattr(board, name) for name in _AS_KEPT},
        colour=colour_view(lab_of(board), board.uncertainty),
        corrected_by=board.measured["correct_by"] if sha256 else "none",
        picture=picture_view(desk, sha256) if sha256 else None,
        texture=_texture(board, sha256) if sha256 else None,
        piece=TakenPiece(id=taken.id, label=taken.label) if taken else None,
        listing=listing_view(piece),
        **careful(piece_cautions(piece)),
    )


def piece_of(desk: Desk, board: Board) -> Material | None:
    """The piece that was made of a board, as long as it is on the rack."""
    piece = desk.session.get(Material, board.piece_id) if board.piece_id else None
    return piece if piece is not None and piece.binned_utc is None else None


def lab_of(board: Board) -> tuple[float, float, float]:
    """Its colour, CIELAB, D65 / 2°."""
    return board.lightness, board.a, board.b


def _texture(board: Board, sha256: str) -> str:
    found = board.measured["findings"]
    shown = where_view(board.measured["selections"], found).shown
    tone = Tone(lab_of(board), tuple(found["as_shot"]))
    return toned_address(sha256, "thumb", shown, tone)


_AS_KEPT = (
    "id",
    "stock_id",
    "file",
    "label",
    "species",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "price",
    "currency",
    "more",
    "spread",
    "figure",
    "grain_deg",
)
