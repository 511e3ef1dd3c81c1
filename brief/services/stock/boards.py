"""The boards of a stock as they are shown, and a board as the piece that it would be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pydantic import BaseModel, Field
from sqlalchemy import select
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


class BoardView(Careful, BaseModel):
    """A board of a stock as it is shown."""

    id: Id
    stock_id: Id
    file: str = Field(description="The merchant’s photograph, by its path in the folder")
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
    spread: float = Field(description="RMS CIEDE2000 of its own figure")
    figure: str
    grain_deg: float | None = Field(
        description="Of the grain: 0 along the picture's width, anticlockwise, below 180"
    )
    picture: PictureView
    texture: str = Field(description="Where the measured part of its photograph is")
    listing: ListingView


def as_piece(stock: Stock, board: Board) -> Material:
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


def board_views(desk: Desk, boards: Sequence[Board]) -> list[BoardView]:
    """Boards as they are shown; stocks and pictures are looked up once for all."""
    look_up(desk, Image, [one.image_sha256 for one in boards])
    held = {one: stocks.get(desk, one) for one in {one.stock_id for one in boards}}
    return [_view(desk, held[one.stock_id], one) for one in boards]


def _view(desk: Desk, stock: Stock, board: Board) -> BoardView:
    piece = as_piece(stock, board)
    lab = lab_of(board)
    return BoardView(
        **{name: getattr(board, name) for name in _AS_KEPT},
        colour=colour_view(lab, board.uncertainty),
        corrected_by=board.measured["correct_by"],
        picture=picture_view(desk, board.image_sha256),
        texture=_texture(board),
        listing=listing_view(piece),
        **careful(piece_cautions(piece)),
    )


def lab_of(board: Board) -> tuple[float, float, float]:
    """Its colour, CIELAB, D65 / 2°."""
    return board.lightness, board.a, board.b


def _texture(board: Board) -> str:
    found = board.measured["findings"]
    shown = where_view(board.measured["selections"], found).shown
    tone = Tone(lab_of(board), tuple(found["as_shot"]))
    return toned_address(board.image_sha256, "thumb", shown, tone)


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
