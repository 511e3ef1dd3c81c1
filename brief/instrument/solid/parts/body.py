"""The plates of the body: top, back and rosette, and what is seen through the hole."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from brief.instrument.model.also_needed import LINING_MM
from brief.instrument.plans.side_sheets import PURFLING_DEEP_MM
from brief.instrument.presets import Preset
from brief.instrument.solid.making.fineness import LONGEST_MM, sides_of
from brief.instrument.solid.making.plate import level, plate
from brief.instrument.solid.making.surface import Floats, ShadedFaces, joined
from brief.instrument.solid.parts.edges import Section, plan, strip
from brief.instrument.solid.parts.levels import Levels

SPACING_MM = 20.0
LABEL_MM = (70.0, 46.0)  # common practice, no source
PAPER_MM = 0.1
DARK_MM = 0.3  # by which a chord may miss its outline in the dark behind the hole


def top(
    levels: Levels,
    pockets: Sequence[tuple[Any, float]] = (),
    in_rosette: Sequence[tuple[Any, float]] = (),
) -> ShadedFaces:
    """The top inside its binding, its joint in the middle, with the hole and the channels cut.

    pockets, in_rosette : what is let into it, and what is let in between the rings of the rosette.
    """
    import shapely

    preset = levels.preset
    body, hole = plan(preset), _disc(preset, preset.hole.diameter_mm / 2)
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


def back(levels: Levels) -> ShadedFaces:
    """The back inside its binding; its places are those of the plan as seen from behind."""
    import shapely

    preset = levels.preset
    joint = shapely.LineString([(0.0, -1.0), (0.0, preset.body_mm + 1)])
    made = plate(
        plan(preset).buffer(-preset.binding_mm),
        levels.back,
        levels.back_inside,
        spacing=SPACING_MM,
        lines=[joint],
        most=LONGEST_MM,
    )
    return ShadedFaces(made.points, made.faces, made.normals, made.places * [-1.0, 1.0])


def rosette(levels: Levels, pockets: Sequence[tuple[Any, float]] = ()) -> ShadedFaces:
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
    return plan(preset).buffer(-preset.binding_mm - preset.purfling_mm)


def inside(levels: Levels) -> ShadedFaces:
    """What is seen through the hole: a thin lining of the back, and the linings of both rims."""
    preset = levels.preset
    thick = levels.thick("sides")
    room = plan(preset).buffer(-max(preset.binding_mm, thick) - 0.05)
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
    sheet = plate(room.simplify(DARK_MM), floor, face, spacing=2 * SPACING_MM, most=4 * LONGEST_MM)
    return joined([sheet, *(strip(preset, one, 4 * LONGEST_MM, DARK_MM) for one in strips)])


def label(levels: Levels) -> ShadedFaces:
    """The paper on the back, under the hole."""
    import shapely

    wide, high = LABEL_MM
    y = levels.preset.hole.centre_mm
    shape = shapely.box(-wide / 2, y - high / 2, wide / 2, y + high / 2)

    def foot(x: Floats, y: Floats) -> Floats:
        return levels.back_inside(x, y) + PAPER_MM + 0.1

    return plate(shape, foot, lambda x, y: foot(x, y) + PAPER_MM, spacing=SPACING_MM)


def _disc(preset: Preset, radius: float) -> Any:
    import shapely

    return shapely.Point(0.0, preset.hole.centre_mm).buffer(radius, quad_segs=sides_of(radius) // 4)


def _ring(preset: Preset, inner: float, outer: float) -> Any:
    return _disc(preset, outer).difference(_disc(preset, inner))
