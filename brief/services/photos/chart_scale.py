"""A scale by the size of a colour chart in the shot: only offered, since charts come in sizes."""

from __future__ import annotations

import numpy as np
from pydantic import BaseModel, Field

from brief.photo.correction.chart_reference import COLUMNS, OUTLINE, PLACES
from brief.photo.correction.lattice import homography, project
from brief.services.photos.shot_correction import points

# From the middle of one patch to that of the next on a full-size chart, whose frame is about 290 mm
# by 203 mm: by the millimetre rules printed on two of them, of two makes and years, in photographs
# (46.3 and 46.4).
FULL_SIZE_PITCH_MM = 46.3


class ChartScale(BaseModel):
    """Two points of the picture, and how far apart they are on a full-size chart."""

    scale_points: str = Field(description="The middles of the first row’s outer patches, percent")
    scale_mm: float


def chart_scale(corners: str | None) -> ChartScale | None:
    """By the corners of a chart as a photograph has them; None if its row leaves the picture."""
    if not corners:
        return None
    grid = homography(OUTLINE, np.array(points(corners, 4)))
    ends = project(grid, PLACES[[0, COLUMNS - 1]])
    if not ((ends >= 0) & (ends <= 100)).all():
        return None
    written = " ".join(f"{x:.2f},{y:.2f}" for x, y in ends)
    return ChartScale(scale_points=written, scale_mm=round((COLUMNS - 1) * FULL_SIZE_PITCH_MM, 1))
