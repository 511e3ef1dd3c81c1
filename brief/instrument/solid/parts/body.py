"""The body: top and back, the bent sides, the strips along their edges, the rosette, the inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

import numpy as np

from brief.instrument.drawing.side import BINDING_MM
from brief.instrument.model.also_needed import LINING_MM
from brief.instrument.outline.outlines import body_outline
from brief.instrument.plans.side_sheets import PURFLING_DEEP_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.plate import level, plate
from brief.instrument.solid.making.surface import Floats, Surface, joined
from brief.instrument.solid.making.sweep import loft
from brief.instrument.solid.making.walls import Height
from brief.instrument.solid.parts.levels import Levels

SPACING_MM = 9.0
LONGEST_MM = 6.0  # of a piece of an outline
FINE_MM = 0.02  # by which a chord may miss its outline
ROLL_MM = 1.0  # of the edge of a body: common practice, no source
LABEL_MM = (70.0, 46.0)  # common practice, no source
PAPER_MM = 0.1
Section = Sequence[tuple[float, Height]]
"""Points of a strip's section: how far in from the edge, and how high."""


def top(
    levels: Levels,
    pockets: Sequence[tuple[Any, float]] = (),
    in_rosette: Sequence[tuple[Any, float]] = (),
) -> Surface:
    """The top inside its binding, its joint in the middle, with the hole and the channels cut.

    pockets, in_rosette : what is let into it, and what is let in between the rings of the rosette.
    """
    import shapely

    preset = levels.preset
    body, hole = _body(preset), _disc(preset, preset.hole.diameter_mm / 2)
    inside = body.buffer(-preset.binding_mm)
    channels = shapely.union_all([rings(preset), *(shape for shape, _ in in_rosette)])
    joint = shapely.LineString([(0.0, -1.0), (0.0, preset.body_mm + 1)])
    return plate(
        inside.difference(hole),
        levels.top_inside,
        levels.top,
        spacing=SPACING_MM,
        pockets=[(channels, PURFLING_DEEP_MM), *pockets],
        ledge=(inside.difference(_within_purfling(preset)), PURFLING_DEEP_MM),
        lines=[joint],
        most=LONGEST_MM,
    )


def back(levels: Levels) -> Surface:
    """The back inside its binding; its places are those of the plan as seen from behind."""
    import shapely

    preset = levels.preset
    joint = shapely.LineString([(0.0, -1.0), (0.0, preset.body_mm + 1)])
    made = plate(
        _body(preset).buffer(-preset.binding_mm),
        levels.back,
        levels.back_inside,
        spacing=SPACING_MM,
        lines=[joint],
        most=LONGEST_MM,
    )
    return Surface(made.points, made.faces, made.normals, made.places * [-1.0, 1.0])


def sides(levels: Levels) -> Surface:
    """Both sides, with the ledges of the bindings, as one bent strip.

    Its places are those of a side rolled out: down from the top, and along from the neck joint.
    """
    thick, ledge = levels.thick("sides"), levels.preset.binding_mm
    high, low = level(_foot(levels)), _under_foot(levels)
    half = _middle(levels)
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
            (ledge, lambda x, y: levels.rim(y)),
            (thick, lambda x, y: levels.rim(y)),
            (thick, level(0.0)),
        ]
    return _strip(levels.preset, section)


def bindings(levels: Levels) -> Iterator[tuple[str, Surface]]:
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
        _strip(
            levels.preset,
            [(0.0, foot), *upper, (wide, levels.top), (wide, foot)],
        ),
    )
    back_thick = levels.thick("back")
    edge: Height = lambda x, y: levels.rim(y) - back_thick  # noqa: E731
    lower = [(off, risen(edge, down)) for off, down in round_]
    under = _under_foot(levels)
    yield (
        "binding of the back",
        _strip(
            levels.preset,
            [(0.0, under), *lower, (wide, levels.back), (wide, under)],
        ),
    )


def purfling(levels: Levels) -> Surface:
    """The line inside the binding of the top."""
    preset = levels.preset
    near, far = preset.binding_mm, preset.binding_mm + preset.purfling_mm

    def floor(x: Floats, y: Floats) -> Floats:
        return levels.top(x, y) - PURFLING_DEEP_MM

    return _strip(preset, [(near, floor), (near, levels.top), (far, levels.top), (far, floor)])


def rosette(levels: Levels, pockets: Sequence[tuple[Any, float]] = ()) -> Surface:
    """Its rings, let into the top; what is let into them is cut right through."""
    import shapely

    def floor(x: Floats, y: Floats) -> Floats:
        return levels.top(x, y) - PURFLING_DEEP_MM

    return plate(
        rings(levels.preset).difference(shapely.union_all([shape for shape, _ in pockets])),
        floor,
        levels.top,
        spacing=SPACING_MM,
        most=LONGEST_MM,
    )


def rings(preset: Preset) -> Any:
    """The rings of the rosette in plan, as shapely's polygons."""
    import shapely

    made = [_ring(preset, *ring) for ring in preset.hole.rosette_mm]
    return shapely.union_all(made).intersection(field(preset))


def field(preset: Preset) -> Any:
    """The top in plan inside its purfling, without the hole."""
    return _within_purfling(preset).difference(_disc(preset, preset.hole.diameter_mm / 2))


def rosette_field(preset: Preset) -> Any:
    """The top from the innermost ring of the rosette to the outermost."""
    radii = [radius for ring in preset.hole.rosette_mm for radius in ring]
    return _ring(preset, min(radii), max(radii)).intersection(field(preset))


def _within_purfling(preset: Preset) -> Any:
    return _body(preset).buffer(-preset.binding_mm - preset.purfling_mm)


def inside(levels: Levels) -> Surface:
    """What is seen through the hole: a thin lining of the back, and the linings of both rims."""
    preset = levels.preset
    thick = levels.thick("sides")
    room = _body(preset).buffer(-max(preset.binding_mm, thick) - 0.05)
    wide, high = LINING_MM

    def floor(x: Floats, y: Floats) -> Floats:
        return levels.back_inside(x, y) + 0.05

    def face(x: Floats, y: Floats) -> Floats:
        return floor(x, y) + PAPER_MM

    def under(x: Floats, y: Floats) -> Floats:
        return levels.rim(y) + high

    def upper(x: Floats, y: Floats) -> Floats:
        return levels.top_inside(x, y) - 0.05

    # They stand a little into the sides, and are bevelled to them.
    near, far = thick - 0.1, thick + wide
    bevel = level(-high)
    strips: list[Section] = [
        [(near, bevel), (near, upper), (far, upper), (far, level(-high / 3))],
        [(near, face), (near, under), (far, lambda x, y: levels.rim(y) + high / 3), (far, face)],
    ]
    sheet = plate(room.simplify(0.05), floor, face, spacing=2 * SPACING_MM, most=3 * LONGEST_MM)
    return joined([sheet, *(_strip(preset, one, 3 * LONGEST_MM, 0.1) for one in strips)])


def label(levels: Levels) -> Surface:
    """The paper on the back, under the hole."""
    import shapely

    wide, high = LABEL_MM
    y = levels.preset.hole.centre_mm
    shape = shapely.box(-wide / 2, y - high / 2, wide / 2, y + high / 2)

    def foot(x: Floats, y: Floats) -> Floats:
        return levels.back_inside(x, y) + PAPER_MM + 0.1

    return plate(shape, foot, lambda x, y: foot(x, y) + PAPER_MM, spacing=SPACING_MM)


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


def _strip(
    preset: Preset, section: Section, longest: float = LONGEST_MM, fine: float = FINE_MM
) -> Surface:
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
def _run(preset: Preset, longest: float, fine: float) -> tuple[Floats, Floats]:
    """Points round the body, and how far each is along its side from the neck joint."""
    import shapely

    run = np.array(body_outline(preset))
    line = shapely.segmentize(shapely.LineString(run).simplify(fine), longest)
    run = np.array(line.coords)
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(run, axis=0), axis=1))])
    tail = gone[np.argmin(np.abs(run[:, 0]) + 1e3 * (run[:, 1] < preset.body_mm - 1.0))]
    along = np.where(gone <= tail, gone, gone[-1] - gone)
    return run[:-1], along[:-1]


@lru_cache(maxsize=64)  # strips beside each other have these in common
def _inward(preset: Preset, longest: float, fine: float, off: float) -> Floats:
    """The nearest point to each on the line so far in from the edge."""
    import shapely

    ring = _run(preset, longest, fine)[0]
    if off == 0:
        return ring
    inner = _largest(_body(preset).buffer(-off, join_style="mitre")).exterior
    at = shapely.line_locate_point(inner, shapely.points(ring))
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(inner, at)))


def _largest(shape: Any) -> Any:
    return max(getattr(shape, "geoms", [shape]), key=lambda one: one.area)


@lru_cache(maxsize=8)
def _body(preset: Preset) -> Any:
    import shapely

    return shapely.Polygon(_run(preset, LONGEST_MM, FINE_MM)[0])


def _disc(preset: Preset, radius: float) -> Any:
    import shapely

    return shapely.Point(0.0, preset.hole.centre_mm).buffer(radius, quad_segs=45)


def _ring(preset: Preset, inner: float, outer: float) -> Any:
    return _disc(preset, outer).difference(_disc(preset, inner))
