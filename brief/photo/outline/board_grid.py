"""A board's outline as a grid of squares along its grain: what can be sawn out of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from brief.photo.outline.area import Area
from brief.photo.outline.polygon import Floats, Mask, Point
from brief.photo.outline.region import Region
from brief.photo.outline.selection import Selection

# A board is sawn along a straight edge unless its grain runs off by more; our working figure.
ALONG_EDGE_DEG = 5.0
MOST_CELLS = 1500  # along the longer side of the picture
FINER = 2  # pixels to a square, in which the outline is looked up
Along = Literal["edge", "grain", "longer side"]


@dataclass(frozen=True, eq=False)
class BoardGrid:
    """Which squares of a board are wood, columns along it and rows across.

    Attributes
    ----------
    inside : ndarray of bool, shape (rows, columns)
        No row or column at its border is empty.
    cell_mm : float
    turn_deg : float
        From the picture's width to the columns, anticlockwise, -45 up to below 135.
    along : str
        By what: "edge" where its grain runs along an edge, "grain" where it runs askew, "longer
        side" where no grain is known.
    corner, size_mm : Point
        Of the first square's outer corner, in the turned picture; and of the picture itself.
    """

    inside: Mask
    cell_mm: float
    turn_deg: float
    along: Along
    corner: Point
    size_mm: Point

    def seen(self, board_mm: Floats) -> Floats:
        """Points of the board as points of the picture, mm from its upper left corner.

        board_mm : shape (n, 2), along it and across it from its first corner.
        """
        seen: Floats = (board_mm + np.array(self.corner)) @ _axes(self.turn_deg)
        return seen

    @property
    def sides_mm(self) -> Point:
        """Length and width of the rectangle round the wood, mm."""
        rows, columns = self.inside.shape
        return columns * self.cell_mm, rows * self.cell_mm


def board_grid(
    area: Area, size_mm: Point, grain_deg: float | None, *, cell_mm: float = 1.0
) -> BoardGrid:
    """The wood of an area, laid out along its grain.

    Parameters
    ----------
    area : Area
    size_mm : Point
        Width and height of what the picture shows, above 0.
    grain_deg : float or None
        Of the grain in the picture: 0 along its width, anticlockwise; None where it has none.
    cell_mm : float, above 0
        Of a square; larger where the picture would have more than 1500 along its longer side.

    Returns
    -------
    BoardGrid

    Raises
    ------
    InputError
        If nothing of the area is left.
    """
    cell = max(cell_mm, max(size_mm) / MOST_CELLS)
    wide, high = (max(1, round(side / cell * FINER)) for side in size_mm)
    drawn = area.mask(wide, high)
    rings = [one.ring for one in area.selections] or [Selection(Region(0, 0, 100, 100)).ring]
    corners = np.concatenate(rings) * size_mm / 100
    way, along = _way(corners, grain_deg)
    turn = (way + 45) % 180 - 45  # so that the first corner is the upper left one
    axes = _axes(turn)
    turned = corners @ axes.T
    low, high_end = turned.min(axis=0), turned.max(axis=0)
    columns, rows = np.maximum(1, np.round((high_end - low) / cell)).astype(int)
    across, down = np.meshgrid(
        low[0] + (np.arange(columns) + 0.5) * cell, low[1] + (np.arange(rows) + 0.5) * cell
    )
    seen = np.stack([across, down], axis=-1) @ axes
    x = np.floor(seen[..., 0] / size_mm[0] * drawn.shape[1]).astype(int)
    y = np.floor(seen[..., 1] / size_mm[1] * drawn.shape[0]).astype(int)
    known = (x >= 0) & (x < drawn.shape[1]) & (y >= 0) & (y < drawn.shape[0])
    inside = known & drawn[np.clip(y, 0, drawn.shape[0] - 1), np.clip(x, 0, drawn.shape[1] - 1)]
    rows_left, columns_left = (np.flatnonzero(inside.any(axis=axis)) for axis in (1, 0))
    top, left = int(rows_left[0]), int(columns_left[0])
    cut = inside[top : int(rows_left[-1]) + 1, left : int(columns_left[-1]) + 1]
    corner = float(low[0] + left * cell), float(low[1] + top * cell)
    return BoardGrid(cut, cell, turn, along, corner, size_mm)


def _axes(turn_deg: float) -> Floats:
    """Along and across, as rows, in millimetres of the picture, whose y runs down."""
    turn = math.radians(turn_deg)
    axes: Floats = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    return axes


def _way(corners: Floats, grain_deg: float | None) -> tuple[float, Along]:
    """Which way a board is sawn: along the edge that its grain runs along, or along that."""
    turns = np.arange(0, 90, 0.25)
    areas = []
    for turn in turns:
        turned = corners @ _axes(float(turn)).T
        areas.append(float(np.prod(np.ptp(turned, axis=0))))
    edge = float(turns[int(np.argmin(areas))])
    if grain_deg is None:
        wide, high = np.ptp(corners @ _axes(edge).T, axis=0)
        return (edge if wide >= high else edge + 90), "longer side"
    for one in (edge, edge + 90):
        off = abs((grain_deg - one + 90) % 180 - 90)
        if off <= ALONG_EDGE_DEG:
            return one, "edge"
    return grain_deg, "grain"
