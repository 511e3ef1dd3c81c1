"""What each piece of the rack yields, as it is shown: where each blank is on its photograph."""

from __future__ import annotations

from pydantic import BaseModel, Field

from brief.services.common.field_types import Id
from brief.services.photos.pictures import PictureView

Corners = list[tuple[float, float]]


class SawnView(BaseModel):
    """One blank on the board, millimetres as it is sawn."""

    number: int = Field(description="Of its line in `lines`")
    along_mm: float = Field(description="From the board’s end to its nearer end")
    across_mm: float = Field(description="From the board’s edge to its nearer edge")
    length_mm: float
    width_mm: float
    corners: Corners = Field(description="On the photograph, mm from its upper left corner")


class LineView(BaseModel):
    """One line of the cut list as this board gives it."""

    number: int
    name: str
    pieces: int
    blanks: int = Field(description="How many are sawn out of the board’s face")
    leaves: int = Field(description="How many each is then sawn into, through its thickness")
    blank_mm: list[float] = Field(description="Length, width, thickness of a piece, rounded up")
    laid: int = Field(description="How many of these blanks have room")
    sentence: str = Field(description="How the leaves go, or why there is no room; may be empty")


class SawnOffcutView(BaseModel):
    """A rectangle that is left over, mm."""

    length_mm: float
    width_mm: float
    corners: Corners


class SawnBoardView(BaseModel):
    """A piece of the rack with what is sawn from it, on its photograph."""

    material_id: Id
    label: str
    photograph_id: Id | None = Field(
        description="None where no photograph with a scale shows the whole board"
    )
    picture: PictureView | None
    hex: str | None = Field(description="Its colour; None where that is not known")
    shows_mm: tuple[float, float] | None = Field(
        description="Width and height of the picture, or of the board by its written size; None "
        "where neither is known"
    )
    outlines: list[Corners] = Field(description="Of the wood; mm from the upper left corner")
    left_out: list[Corners] = Field(description="Of what is not wood: holes, chart, card")
    origin: Corners = Field(description="Where it is measured from, and a point along and across")
    lines: list[LineView]
    sawn: list[SawnView]
    offcuts: list[SawnOffcutView]
    kerf_mm: float
    doubt_mm: float | None = Field(
        description="How far the longest size may be off by the scale; None without a photograph"
    )
    sentence: str
    notes: list[str]


class SawnBoardsView(BaseModel):
    """Every piece of the rack that something is to be cut from."""

    items: list[SawnBoardView]
