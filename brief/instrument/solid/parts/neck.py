"""The neck: its shaft half round, the heel down to the back, the head leaning back.

Profile, heel and head are those of the side sheet and of the pictures; the change from one section
to the next is usual: common practice, no source.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brief.instrument.drawing.back import HEEL_HALF_MM
from brief.instrument.drawing.parts.neck import post_places
from brief.instrument.drawing.side import HEAD_BACK_DEG, HEEL_LONG_MM, neck_thick
from brief.instrument.frets.fret_lines import lean
from brief.instrument.outline.outlines import NUT_MM, body_outline, head_outline
from brief.instrument.plans.head_sheet import POST_MM, slots_of_head
from brief.instrument.presets import Preset
from brief.instrument.solid.making.fineness import FINE_MM, LONGEST_MM
from brief.instrument.solid.making.plate import level, plate
from brief.instrument.solid.making.surface import Floats, ShadedFaces, joined
from brief.instrument.solid.making.sweep import loft
from brief.instrument.solid.making.walls import Height
from brief.instrument.solid.parts.levels import Levels

SECTION = 24  # points round the back of a neck
LEANS_MM = 30.0  # from a nut that leans, sections are square again
TENON_MM = 0.7  # into the side, so that no light comes between
SQUARE_MM = 34.0  # above the nut, where the head is square behind
EDGE_MM = 0.5
HEAD_SPACING_MM = 10.0


def neck(levels: Levels) -> ShadedFaces:
    """Shaft, heel and head, of one wood."""
    return joined([_shaft(levels), _head(levels)])


def profile_deep(preset: Preset, y: Floats) -> Floats:
    """How thick the shaft is without its board at a place between nut and heel, mm."""
    share = np.clip((y - preset.nut_y) / -preset.nut_y, 0.0, 1.0)
    deep: Floats = neck_thick(preset) * (1 + 0.15 * share)
    return deep


def _shaft(levels: Levels) -> ShadedFaces:
    preset = levels.preset
    base = preset.nut_y - NUT_MM
    heel = -min(HEEL_LONG_MM, -preset.nut_y / 2)
    down = np.concatenate(
        [np.linspace(base, preset.nut_y, 3), np.linspace(preset.nut_y, heel, 14)[1:],
         np.linspace(heel, 0.0, 40)[1:]]
    )  # fmt: skip
    turn = np.linspace(0.0, np.pi, SECTION + 1)
    along = down - preset.nut_y
    half = np.array([preset.fretboard.width_mm(max(float(one), 0.0)) / 2 for one in along])
    foot = -float(levels.back(np.zeros(1), np.zeros(1))[0]) + levels.neck
    deep, share = _side_view(levels, down, heel, foot)
    begun = np.clip((down - heel) / (-0.5 * heel), 0.0, 1.0)
    begun = begun * begun * (3 - 2 * begun)
    # A heel narrows with its depth, the same all along its flanks; from half an ellipse its section
    # grows square, as |x|^p + |z|^p = 1 does.
    power = 2 / (2 + 3 * share[:, None])
    q = np.sin(turn)[None] ** power
    depth = q * deep[:, None]
    narrow = np.minimum(HEEL_HALF_MM, half)[:, None]
    flank = narrow + (half[:, None] - narrow) * (1 - np.minimum(depth / foot, 1.0)) ** 1.4
    flank = half[:, None] + (flank - half[:, None]) * begun[:, None]
    x = flank * np.sign(np.cos(turn))[None] * np.abs(np.cos(turn))[None] ** power
    z = levels.neck - depth
    # It begins along the nut, which may lean.
    begins = np.clip((preset.nut_y + LEANS_MM - down) / LEANS_MM, 0.0, 1.0)[:, None]
    y = down[:, None] + lean(preset, 0) * x * begins
    # The end follows the body, into which it is let by a little.
    last = _body_edge(preset, x[-1]) + TENON_MM
    reach = np.clip((down - heel * 0.22) / (-heel * 0.22), 0.0, 1.0)[:, None] ** 2
    y = y + reach * last
    rows = np.stack([x, y, z], axis=-1)
    steps = np.linalg.norm(np.diff(rows, axis=1), axis=-1)
    around = np.concatenate([np.zeros((len(rows), 1)), np.cumsum(steps, axis=1)], axis=1)
    places = np.stack([around[:, -1:] / 2 - around, y], axis=-1)
    return loft(rows, places)


def _side_view(levels: Levels, down: Floats, heel: float, foot: float) -> tuple[Floats, Floats]:
    """How deep the neck is down its length, and how much of a heel it is there, 0 to 1."""
    preset = levels.preset
    thin = float(profile_deep(preset, np.array([heel]))[0])
    t = np.linspace(0.0, 1.0, 80)
    u = 1 - t
    weights = np.stack([u**3, 3 * u * u * t, 3 * u * t * t, t**3], axis=1)
    curve = weights @ np.array(
        [[heel, thin], [0.5 * heel, thin * 1.05], [0.35 * heel, foot / 2], [0.28 * heel, foot]]
    )
    ends = np.interp(down, np.append(curve[:, 0], 0.0), np.append(curve[:, 1], foot))
    deep = np.where(down < heel, profile_deep(preset, down), ends)
    share = np.clip((deep - thin) / (foot - thin), 0.0, 1.0)
    return deep, np.where(down < heel, 0.0, share)


def _body_edge(preset: Preset, x: Floats) -> Floats:
    """The y of the body's shoulder at a distance from the centre line."""
    run = np.array(body_outline(preset))
    far = int(np.argmax(run[:, 0] > preset.fretboard.width_mm(-preset.nut_y) / 2 + 2)) or 12
    right, left = run[: far + 1], run[::-1][: far + 1]
    edge = np.where(
        x >= 0,
        np.interp(np.abs(x), right[:, 0], right[:, 1]),
        np.interp(np.abs(x), -left[:, 0], left[:, 1]),
    )
    return np.asarray(edge)


def head_shape(preset: Preset) -> Any:
    """The head in plan with its slots, or the holes of its posts, as shapely's polygon."""
    import shapely

    shape = shapely.Polygon(head_outline(preset)).buffer(0)
    if not preset.head.slotted:
        holes = [shapely.Point(at).buffer(POST_MM / 2) for at in post_places(preset)]
        return shape.difference(shapely.union_all(holes))
    slots = [shapely.Polygon(outline).buffer(0) for _, outline in slots_of_head(preset)]
    return shape.difference(shapely.union_all(slots))


def leaning(levels: Levels, made: ShadedFaces) -> ShadedFaces:
    """What lies flat in the plan of the head, leaning back as it does."""
    return made.tipped(HEAD_BACK_DEG, levels.preset.nut_y - NUT_MM, levels.neck)


def _head(levels: Levels) -> ShadedFaces:
    preset = levels.preset
    made = plate(
        head_shape(preset).simplify(FINE_MM),
        _head_back(levels),
        level(levels.neck),
        spacing=HEAD_SPACING_MM,
        most=HEAD_SPACING_MM / 2,
    )
    return leaning(levels, made)


def _head_back(levels: Levels) -> Height:
    """Half round at the nut as the neck is, square from a little above it."""
    preset = levels.preset
    base, thick = preset.nut_y - NUT_MM, neck_thick(preset)

    def low(x: Floats, y: Floats) -> Floats:
        up = np.maximum(base - y, 0.0)
        share = np.clip(up / SQUARE_MM, 0.0, 1.0)
        share = share * share * (3 - 2 * share)
        half = np.interp(up, *np.array(preset.head.outline).T)
        round_ = np.sqrt(np.maximum(1 - (x / np.maximum(half, 1.0)) ** 2, 0.0))
        deep: Floats = np.maximum(thick * (round_ + (1 - round_) * share), 0.8)
        return levels.neck - deep

    return low


def headplate(levels: Levels, pockets: Any = ()) -> ShadedFaces:
    """The veneer on the face of the head."""
    import shapely

    preset, thick = levels.preset, levels.thick("headplate")
    joint = shapely.LineString([(0.0, preset.nut_y - 400), (0.0, preset.nut_y)])
    made = plate(
        head_shape(preset).simplify(FINE_MM),
        level(levels.neck),
        level(levels.neck + thick),
        spacing=4 * LONGEST_MM,
        roll=min(EDGE_MM, 0.4 * thick),
        pockets=pockets,
        lines=[joint],
    )
    return leaning(levels, made)
