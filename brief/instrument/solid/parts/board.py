"""The fretboard with its rounding, what is let into it, the frets, and the nut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from brief.instrument.drawing.parts.neck import FRET_WIRE_MM
from brief.instrument.drawing.side import CROWN_MM
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn
from brief.instrument.outline.outlines import NUT_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.fineness import LONGEST_MM
from brief.instrument.solid.making.plate import level, plate
from brief.instrument.solid.making.surface import ShadedFaces, joined
from brief.instrument.solid.making.sweep import loft
from brief.instrument.solid.parts.levels import Levels

SPACING_MM = 6.0
EDGE_MM, NUT_EDGE_MM = 0.3, 0.6  # rolled edges: common practice, no source
TANG_MM = 0.4  # of a fret, in the board
END_SLOPE_MM = 0.6  # by which a fret's end is filed back: common practice, no source
CROWN_STEPS = 4


def fretboard(levels: Levels, pockets: Sequence[tuple[Any, float]] = ()) -> ShadedFaces:
    """The board, cut by the soundhole where it reaches it."""
    return plate(
        shape_of(levels.preset),
        level(levels.neck),
        levels.board,
        spacing=SPACING_MM,
        roll=EDGE_MM,
        pockets=pockets,
        most=LONGEST_MM,
    )


def shape_of(preset: Preset) -> Any:
    """The board in plan, as shapely's polygon."""
    import shapely

    hole = shapely.Point(0.0, preset.hole.centre_mm).buffer(preset.hole.diameter_mm / 2)
    return shapely.Polygon(board_drawn(preset)).difference(hole)


def frets(levels: Levels) -> Iterator[tuple[str, ShadedFaces]]:
    """Each fret by its name; one that the soundhole cuts is in two pieces."""
    import shapely

    preset = levels.preset
    shape = shape_of(preset)
    for fret in range(1, preset.frets + 1):
        line = shapely.LineString(fret_drawn(preset, fret)).intersection(shape)
        pieces = [one for one in shapely.get_parts(line) if one.length > 3 * END_SLOPE_MM]
        if pieces:
            yield f"fret {fret}", joined([_wire(levels, one) for one in pieces])


def _wire(levels: Levels, line: Any) -> ShadedFaces:
    """A fret along a line: its crown over the board, its ends filed to a slope."""
    start, end = np.array(line.coords)[[0, -1]]
    along = (end - start) / np.linalg.norm(end - start)
    over = np.array([-along[1], along[0]])
    long = float(np.linalg.norm(end - start))
    slope = END_SLOPE_MM / long
    shares = np.concatenate(
        [[0.0, slope / 2], np.linspace(slope, 1 - slope, 7), [1 - slope / 2, 1]]
    )
    heights = np.ones(len(shares))
    heights[[0, -1]], heights[[1, -2]] = 0.35, 0.8
    turn = np.linspace(0.0, np.pi, CROWN_STEPS + 1)
    wide, high = FRET_WIRE_MM / 2 * np.cos(turn), CROWN_MM * np.sin(turn)
    rows = []
    for share, height in zip(shares, heights, strict=True):
        middle = start + share * (end - start)
        crown = middle + wide[:, None] * over
        base = levels.board(*crown.T)
        section = np.column_stack([crown, base + high * height])
        foot = np.column_stack([crown[[-1, 0]], base[[-1, 0]] - TANG_MM])
        rows.append(np.concatenate([section, foot]))
    return loft(np.array(rows))


def nut(levels: Levels) -> ShadedFaces:
    """The nut, from the neck up to a little over the board."""
    import shapely

    preset = levels.preset
    (x, y), (x_2, y_2) = fret_drawn(preset, 0)
    shape = shapely.Polygon([(x, y - NUT_MM), (x_2, y_2 - NUT_MM), (x_2, y_2), (x, y)])
    return plate(
        shape,
        level(levels.neck),
        levels.nut_top,
        spacing=3.0,
        roll=NUT_EDGE_MM,
    )
