"""How an outline bends, to look at: a comb whose teeth are as long as it bends there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brief.instrument.curve import Point, path_data
from brief.instrument.outline.fair import bends, closed_outline, fair_half
from brief.instrument.presets import Preset

TOOTH_MM = 45.0  # the longest
STEPS = 5  # teeth to each of the pieces that the outline is drawn in
STRAIGHT = 1 / 5000  # 1/mm: flatter than that is neither hollow nor round
ROOM_MM = 8.0


@dataclass(frozen=True)
class Comb:
    """A comb round a body without its cutaway, as path data in mm, and what it says.

    Attributes
    ----------
    box
        As a viewBox.
    outline, teeth, fringe
        The body, the teeth, and the line along their ends.
    turns
        How often half the outline turns from hollow to round or back.
    tightest_mm, at_mm
        The least radius, and how far from the neck joint it is.
    cutaway
        Whether the body has one.
    """

    box: str
    outline: str
    teeth: str
    fringe: str
    turns: int
    tightest_mm: float
    at_mm: float
    cutaway: bool


def comb(preset: Preset) -> Comb:
    """The comb of a preset's body. It stands out where the body is round, inwards where hollow."""
    half = bends(fair_half(preset.outline), STEPS)
    curvature = np.array([bend.curvature for bend in half])
    sharpest = int(np.argmax(np.abs(curvature)))
    scale = TOOTH_MM / abs(curvature[sharpest])
    right = [
        (bend.point, (bend.point[0] - along[0], bend.point[1] - along[1]))
        for bend, along in (
            (one, (one.normal[0] * one.curvature * scale, one.normal[1] * one.curvature * scale))
            for one in half
        )
    ]
    left = [((-a[0], a[1]), (-b[0], b[1])) for a, b in reversed(right)]
    teeth = [*right, *left]
    ends = np.array([end for _, end in teeth])
    (x, y), (x_2, y_2) = ends.min(axis=0) - ROOM_MM, ends.max(axis=0) + ROOM_MM
    bent = curvature[np.abs(curvature) > STRAIGHT]
    return Comb(
        box=f"{x:.1f} {y:.1f} {x_2 - x:.1f} {y_2 - y:.1f}",
        outline=path_data(closed_outline(preset.outline)) + "Z",
        teeth="".join(f"M{_said(foot)}L{_said(end)}" for foot, end in teeth),
        fringe="M" + "L".join(_said(end) for _, end in teeth) + "Z",
        turns=int((np.diff(np.sign(bent)) != 0).sum()),
        tightest_mm=float(1 / abs(curvature[sharpest])),
        at_mm=half[sharpest].point[1],
        cutaway=preset.cutaway_depth_mm > 0,
    )


def _said(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"
