"""An inlay as it is sent."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, TypeAdapter

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.inlay.design import WIDTH_LIMITS_MM
from brief.instrument.inlay.svg.reader import MAX_CHARACTERS
from brief.services.common.field_types import Draft, Id, Title, not_boolean
from brief.services.common.typed_numbers import ALength, ANumber

Shape = Literal["drawing", "dot"]
MOST_COPIES = 120


def _frets(given: object) -> object:
    """ "3, 5, 12 12" as a list; a list as it is."""
    if not isinstance(given, str):
        return given or []
    parts = re.split(r"[\s,;]+", given.strip())
    return [int(part) if part.isdecimal() and len(part) < 4 else part for part in parts if part]


def _left_empty(means: int) -> BeforeValidator:
    return BeforeValidator(lambda given: means if given in (None, "") else given)


Along = Annotated[float, ALength(-1000, 1000, "3/8 in")]
Width = Annotated[float, ALength(*WIDTH_LIMITS_MM, "3/8 in")]
Turn = Annotated[float, ANumber(-360, 360, "45°", ("°", "deg", "degrees"), "degrees")]
Fret = Annotated[int, Field(ge=1, le=36), not_boolean]
FRETS = TypeAdapter(Annotated[list[Fret], Field(max_length=72)])
REMARKS = TypeAdapter(list[Annotated[str, Field(max_length=200)]])


class InlayDraft(Draft):
    """An inlay as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Curlew"])
    shape: Shape = Field("drawing", description="The maker’s own drawing, or a round dot")
    drawing: str | None = Field(
        None,
        max_length=MAX_CHARACTERS,
        description="An SVG document, or the data of a path in mm; of a change: null keeps it",
        examples=["M0 0C8 -3 16 1 24 0L24 2C16 3 8 1 0 4Z"],
    )
    lies_on: LiesOn = "fretboard"
    part_id: Id | None = Field(
        None, description="The part of the spec that it is; the part “inlay” if left out"
    )
    frets: Annotated[list[Fret], Field(max_length=72), BeforeValidator(_frets)] = Field(
        [],
        description="On the fretboard: a copy before each; a fret named twice has two",
        examples=[[3, 5, 7, 9, 12, 12]],
    )
    along_mm: Along | None = Field(
        None,
        description="From the nut, the middle of the bridge or the neck joint; with frets from "
        "midway between two; round the rosette outwards. The middle if left out",
    )
    across_mm: Annotated[Along, _left_empty(0)] = Field(
        0, description="From the centre line to the treble side"
    )
    copies: Annotated[int, Field(ge=1, le=MOST_COPIES), not_boolean, _left_empty(1)] = Field(
        1, description="Round the rosette"
    )
    width_mm: Width | None = Field(
        None, description="Of the design before it is turned; as drawn if left out"
    )
    turn_deg: Annotated[Turn, _left_empty(0)] = Field(0, description="Clockwise")
    mirrored: bool = False
