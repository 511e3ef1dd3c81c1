"""Where in its photograph a piece is measured: as the maker outlined it, or as was proposed.

What corrects the colours is no wood: a chart whose corners are known, and a card that was drawn on,
are left out wherever they are. Without an outline of the maker's the board's is proposed, and used
until it is corrected: on composites of real photographs the colour inside it was within 5 CIEDE2000
of the wood's in 98 of 100, that of all the photograph in 4 of 10.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel, Field

from brief.photo import (
    WHOLE,
    Area,
    Region,
    Selection,
    card_surround,
    chart_surround,
    propose_board,
)
from brief.photo.files.intake import Pixels
from brief.services.common.field_types import Json, in_field
from brief.services.photos.shot_correction import CARD_REGIONS, points, region_in

By = Literal["drawn", "proposed", "whole"]
PROPOSED_PX = 480  # longest side at which the board is looked for
Corner = tuple[float, float]


class WhereView(BaseModel):
    """What of a photograph was measured."""

    by: By = Field(description="The maker’s own outline, the one proposed, or neither")
    selections: list[str] = Field(description="Inside these; none: all of the photograph")
    without: list[list[Corner]] = Field(
        description="Outlines, in percent, of the chart or card that was left out"
    )
    shown: str | None = Field(description="The part that stands for the piece; None: all of it")
    sentence: str


@dataclass(frozen=True)
class Where:
    """Where to measure. shown : the part that shows the piece wherever it is seen; None: all."""

    by: By
    area: Area
    shown: Region | None

    @property
    def bounds(self) -> Region:
        """The part of the picture that is shown."""
        return self.shown or WHOLE

    def stored(self) -> Json:
        """The same as JSON, as a column has it."""
        return {
            "by": self.by,
            "selections": [str(one) for one in self.area.selections],
            "without": [
                [[round(x, 1), round(y, 1)] for x, y in ring] for ring in self.area.without
            ],
            "shown": None if self.shown is None else str(self.shown),
        }


def where_to_measure(picture: Pixels, asked: Mapping[str, Any]) -> Where:
    """As `asked` has it in its selections, chart_corners and card regions; else as is proposed.

    Raises InputError at the field at fault.
    """
    with in_field("selections"):
        drawn = tuple(Selection.parse(text) for text in asked["selections"])
    without = []
    if asked["chart_corners"]:
        with in_field("chart_corners"):
            without.append(chart_surround(points(asked["chart_corners"], 4)))
    for field in CARD_REGIONS:
        card = region_in(field, asked)
        if card is not None:
            without.append(card_surround(picture.flattened(), card))
    proposed = None
    if not drawn:
        small = picture.flattened()
        scale = min(1.0, PROPOSED_PX / max(small.size))
        if scale < 1:
            small = small.reduce(max(1, math.floor(1 / scale)))
        proposed = propose_board(small, without)
    area = Area(drawn or ((proposed,) if proposed else ()), tuple(without))
    by: By = "drawn" if drawn else "proposed" if proposed else "whole"
    with in_field("selections"):
        return Where(by, area, _shown(area, by, picture.rgb.size))


def _shown(area: Area, by: By, size: tuple[int, int]) -> Region | None:
    """What is shown of the photograph where it stands for the piece.

    Round the maker's first outline, as it was drawn; otherwise, and where a chart lies in it, the
    largest rectangle of wood alone.
    """
    if area.is_whole:
        return None
    if by != "drawn":
        return area.clear(size)
    first = Area(area.selections[:1], area.without)
    box = first.bounds
    if first.mask_in(box, 60, 60).mean() < Area(first.selections).mask_in(box, 60, 60).mean():
        return first.clear(size)
    return outward(box)


def outward(box: Region) -> Region:
    """The rectangle, its edges moved out to a hundredth, so that its address stays short."""
    left, top = (math.floor(edge * 100) / 100 for edge in (box.x, box.y))
    right, bottom = (math.ceil(edge * 100) / 100 for edge in (box.x + box.w, box.y + box.h))
    return Region(left, top, round(min(right, 100) - left, 2), round(min(bottom, 100) - top, 2))


def where_view(selections: Sequence[str], findings: Mapping[str, Any]) -> WhereView:
    """What was measured, from what is stored; an earlier version stored the outlines alone."""
    stored = findings.get("where")
    if stored is None:
        by: By = "drawn" if selections else "whole"
        shown = str(outward(Selection.parse(selections[0]).bounds)) if selections else None
        stored = {"by": by, "selections": list(selections), "without": [], "shown": shown}
    return WhereView(**stored, sentence=_sentence(stored))


def shown_part(selections: Sequence[str], findings: Mapping[str, Any]) -> tuple[Area, Region]:
    """The wood that stands for the piece, and the part of the photograph that shows it."""
    where = where_view(selections, findings)
    wood = tuple(Selection.parse(text) for text in where.selections[:1])
    area = Area(wood, tuple(tuple(ring) for ring in where.without))
    return area, Region.parse(where.shown) if where.shown else WHOLE


def _sentence(stored: Mapping[str, Any]) -> str:
    said = {
        "drawn": "Measured inside your outline.",
        "proposed": "Measured inside the outline that was proposed.",
        "whole": "The whole photograph was measured.",
    }[stored["by"]]
    return said + (" The chart or card is left out." if stored["without"] else "")
