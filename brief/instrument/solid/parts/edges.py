"""What runs round the body: the bent sides with their ledges, the bindings, and the purfling."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from brief.instrument.drawing.side import BINDING_MM
from brief.instrument.outline.outlines import body_outline
from brief.instrument.plans.side_sheets import PURFLING_DEEP_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.fineness import FINE_MM, LONGEST_MM
from brief.instrument.solid.making.plate import level
from brief.instrument.solid.making.surface import Floats, ShadedFaces
from brief.instrument.solid.making.sweep import loft
from brief.instrument.solid.making.walls import Height
from brief.instrument.solid.parts.levels import Levels

ROLL_MM = 1.0  # of the edge of a body: common practice, no source
Section = Sequence[tuple[float, Height]]
"""Points of a strip's section: how far in from the edge, and how high."""


def sides(levels: Levels) -> ShadedFaces:
    """Both sides, with the ledges of the bindings, as one bent strip.

    Its places are those of a side rolled out: down from the top, and along from the neck joint.
    """
    thick, ledge = levels.thick("sides"), levels.preset.binding_mm
    high, low = level(_foot(levels)), _under_foot(levels)
    half = _middle(levels)

    def rim(x: Floats, y: Floats) -> Floats:
        return levels.rim(y)

    if ledge >= thick:
        section: Section = [(0.0, high), (0.0, half), (0.0, low), (thick, low), (thick, high)]
    else:
        section = [
            (ledge, level(0.0)),
            (ledge, high),
            (0.0, high),
            (0.0, half),
            (0.0, low),
            (ledge, low),
            (ledge, rim),
            (thick, rim),
            (thick, level(0.0)),
        ]
    return strip(levels.preset, section)


def bindings(levels: Levels) -> Iterator[tuple[str, ShadedFaces]]:
    """The strips along the edge of top and back, their outer edges rolled."""
    wide, thick = levels.preset.binding_mm, levels.thick("top")
    roll = min(ROLL_MM, 0.4 * wide)

    def risen(height: Height, by: float) -> Height:
        return lambda x, y: height(x, y) + by

    turns = [np.pi / 2 * step / 3 for step in range(4)]
    round_ = [(roll * (1 - np.cos(t)), roll * (1 - np.sin(t))) for t in turns]
    foot = level(_foot(levels))
    upper = [(off, level(thick - down)) for off, down in round_]
    yield (
        "binding of the top",
        strip(
            levels.preset,
            [(0.0, foot), *upper, (wide, levels.top), (wide, foot)],
        ),
    )
    back_thick = levels.thick("back")

    def edge(x: Floats, y: Floats) -> Floats:
        return levels.rim(y) - back_thick

    lower = [(off, risen(edge, down)) for off, down in round_]
    under = _under_foot(levels)
    yield (
        "binding of the back",
        strip(
            levels.preset,
            [(0.0, under), *lower, (wide, levels.back), (wide, under)],
        ),
    )


def purfling(levels: Levels) -> ShadedFaces:
    """The line inside the binding of the top."""
    preset = levels.preset
    near, far = preset.binding_mm, preset.binding_mm + preset.purfling_mm

    def floor(x: Floats, y: Floats) -> Floats:
        return levels.top(x, y) - PURFLING_DEEP_MM

    return strip(preset, [(near, floor), (near, levels.top), (far, levels.top), (far, floor)])


def strip(
    preset: Preset, section: Section, longest: float = LONGEST_MM, fine: float = FINE_MM
) -> ShadedFaces:
    """A strip round the body, of the same section all the way.

    Its places are those of a strip that is laid flat: across its section, and along the edge from
    the neck joint to the tail on either side.
    """
    along = _run(preset, longest, fine)[1]
    rows = []
    for off, height in section:
        flat = _inward(preset, longest, fine, off)
        rows.append(np.column_stack([flat, height(*flat.T)]))
    points = np.stack(rows, axis=1)
    steps = np.linalg.norm(np.diff(points, axis=1), axis=-1)
    across = np.concatenate([np.zeros((len(points), 1)), np.cumsum(steps, axis=1)], axis=1)
    places = np.stack([across, np.broadcast_to(along[:, None], across.shape)], axis=-1)
    return loft(points, places, ring=True)


@lru_cache(maxsize=8)
def plan(preset: Preset) -> Any:
    """The body from above, as shapely's polygon."""
    import shapely

    return shapely.Polygon(_run(preset, LONGEST_MM, FINE_MM)[0])


def _foot(levels: Levels) -> float:
    """How far down the binding of the top reaches."""
    return levels.thick("top") - BINDING_MM


def _under_foot(levels: Levels) -> Height:
    by = BINDING_MM - levels.thick("back")
    return lambda x, y: levels.rim(y) + by


def _middle(levels: Levels) -> Height:
    """Half the depth of the deepest place, where halves of a photograph would meet."""
    preset = levels.preset
    half = -max(preset.side_neck_mm, preset.side_tail_mm) / 2
    low, foot = _under_foot(levels), _foot(levels)
    return lambda x, y: np.clip(np.full(np.shape(x), half), low(x, y) + 0.5, foot - 0.5)


@lru_cache(maxsize=8)
def _run(preset: Preset, longest: float, fine: float) -> tuple[Floats, Floats]:
    """Points round the body, and how far each is along its side from the neck joint."""
    import shapely

    run = np.array(body_outline(preset))
    tail = int(np.argmin(np.abs(run[:, 0]) + 1e3 * (run[:, 1] < preset.body_mm - 1.0)))
    # Each half by itself, so that the tail stays: there the photographs of both sides meet.
    halves = [
        np.array(shapely.segmentize(shapely.LineString(half).simplify(fine), longest).coords)
        for half in (run[: tail + 1], run[tail:])
    ]
    run = np.concatenate([halves[0], halves[1][1:]])
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run, axis=0), axis=1))])
    half_way = gone[len(halves[0]) - 1]
    along = np.where(gone <= half_way, gone, gone[-1] - gone)
    return run[:-1], along[:-1]


@lru_cache(maxsize=64)  # strips beside each other have these in common
def _inward(preset: Preset, longest: float, fine: float, off: float) -> Floats:
    """The nearest point to each on the line so far in from the edge."""
    import shapely

    ring = _run(preset, longest, fine)[0]
    if off == 0:
        return ring
    inner = _largest(plan(preset).buffer(-off, join_style="mitre")).exterior
    at = shapely.line_locate_point(inner, shapely.points(ring))
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(inner, at)))


def _largest(shape: Any) -> Any:
    return max(getattr(shape, "geoms", [shape]), key=lambda one: one.area)
