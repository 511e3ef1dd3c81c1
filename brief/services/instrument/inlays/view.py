"""An inlay as it is shown."""

from __future__ import annotations

from pydantic import BaseModel, Field

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.services.common.care import Careful
from brief.services.common.field_types import Id, View
from brief.services.common.typed_numbers import Texts
from brief.services.instrument.inlays.draft import Shape


class NarrowView(BaseModel):
    """A narrow spot of an inlay, as it is shown."""

    width_mm: float
    at: tuple[float, float] = Field(description="From the design’s middle, right and down, mm")
    where: str = Field(examples=["at the left end"])


class InlayView(Careful, View):
    """An inlay as it is shown."""

    brief_id: Id
    part_id: Id | None
    part_name: str | None
    role: str = Field(description="Of that part")
    material_id: Id | None
    material_label: str | None
    ground_id: Id | None = Field(description="The material of the part that it lies on")
    name: str
    shape: Shape
    lies_on: LiesOn
    frets: list[int]
    along_mm: float | None
    across_mm: float
    copies: int
    width_mm: float
    as_typed: Texts
    turn_deg: float
    mirrored: bool
    path: str = Field(description="Path data, mm from its middle, filled by the even-odd rule")
    count: int = Field(description="How many copies of it there are")
    place: str = Field(examples=["fretboard, before fret 12"])
    height_mm: float
    area_mm2: float = Field(description="Of one copy")
    edge_mm: float = Field(description="Of one copy: how far the saw goes")
    pieces: int
    holes: int
    points: int = Field(description="How many of its ends run out to a point")
    thinnest: NarrowView
    gap: NarrowView | None
    blank_mm: tuple[float, float]
    sentences: list[str]
    piece: str = Field(
        description="Whether the piece of the rack is large enough; empty where nobody knows"
    )
    remarks: list[str] = Field(description="What was made of the file")
    trouble: str = Field(description="What is wrong with its place; empty where nothing is")
