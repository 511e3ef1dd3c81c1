"""All solids of an instrument."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Any

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.inlay.places import inlaid as drawn_inlay
from brief.instrument.outline.outlines import bridge_outline
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Fill
from brief.instrument.solid.laying import painted, placed
from brief.instrument.solid.making.plate import level
from brief.instrument.solid.making.surface import ShadedFaces, meshed
from brief.instrument.solid.making.walls import Height
from brief.instrument.solid.mesh import Solid
from brief.instrument.solid.parts import board, body, bridge, edges, neck
from brief.instrument.solid.parts.inlays import LaidDesign, all_laid, inlaid, pockets
from brief.instrument.solid.parts.levels import Levels
from brief.instrument.solid.parts.strings import strings
from brief.instrument.solid.parts.tuners import tuners

Named = tuple[str, str, ShadedFaces]


def solids(
    preset: Preset, fills: Mapping[str, Fill] | None = None, own: Sequence[LaidDesign] = ()
) -> tuple[Solid, ...]:
    """The instrument as a body in space.

    Parameters
    ----------
    preset : Preset
    fills : mapping of str to Fill, optional
        Material by role, whose photograph is laid as the flat picture lays it. On a part without
        one the places are shares of the part's own box.
    own : sequence of LaidDesign
        The maker's own designs, which are let in.

    Returns
    -------
    tuple of Solid
        Each closed and turned outwards, and none of a name twice.
    """
    fills = fills or {}
    laid = all_laid(preset, own, bill="bill" in fills)
    drawn = [drawn_inlay(one.role, one.role, one.lies_on, [one.shape]) for one in own]
    how = painted(preset, fills, drawn)
    return tuple(
        Solid(name, role, meshed(made, placed(made, how.get(role), fills.get(role))))
        for name, role, made in _all_surfaces(preset, laid)
    )


@lru_cache(maxsize=2)  # some 20 MB each; the woods are changed far more often than the shape
def _all_surfaces(preset: Preset, laid: tuple[LaidDesign, ...]) -> tuple[Named, ...]:
    return tuple(_surfaces(preset, laid))


def _surfaces(preset: Preset, laid: Sequence[LaidDesign]) -> Iterator[Named]:
    levels = Levels(preset)
    grounds = _grounds(levels)

    def cut(lies_on: LiesOn) -> list[tuple[Any, float]]:
        return pockets(laid, lies_on, grounds[lies_on][0])

    yield "top", "top", body.top(levels, cut("top"), cut("rosette"))
    yield "back", "back", body.back(levels)
    yield "sides", "sides", edges.sides(levels)
    for name, made in edges.bindings(levels):
        yield name, "binding", made
    yield "purfling", "purfling", edges.purfling(levels)
    yield "rosette", "rosette", body.rosette(levels, cut("rosette"))
    yield "inside", "inside", body.inside(levels)
    yield "label", "label", body.label(levels)
    yield "neck", "neck", neck.neck(levels)
    yield "headplate", "headplate", neck.headplate(levels, cut("headplate"))
    yield "fretboard", "fretboard", board.fretboard(levels, cut("fretboard"))
    for name, made in board.frets(levels):
        yield name, "frets", made
    yield "nut", "nut", board.nut(levels)
    yield "bridge", "bridge", bridge.bridge(levels, cut("bridge"))
    yield "saddle", "saddle", bridge.saddle(levels)
    if preset.bridge.hold == "tailpiece":
        yield "tailpiece", "tailpiece", bridge.tailpiece(levels)
    for name, role, made in tuners(levels):
        yield name, role, made.in_plan
    yield from strings(levels)
    for number, one in enumerate(laid, start=1):
        if one.lies_on in grounds and (made_of := inlaid(one, *grounds[one.lies_on])):
            made = made_of
            if one.lies_on == "headplate":
                made = neck.leaning(levels, made)
            yield f"inlay {number}", one.role, made


def _grounds(levels: Levels) -> dict[LiesOn, tuple[Any, Height]]:
    """What can be let into: the shape of each part in plan, and its face."""
    import shapely

    preset = levels.preset
    head_face = level(levels.neck + levels.thick("headplate"))
    return {
        "fretboard": (board.shape_of(preset), levels.board),
        "headplate": (neck.head_shape(preset), head_face),
        "bridge": (
            shapely.Polygon(bridge_outline(preset)),
            lambda x, y: bridge.bridge_top(levels, x, y),
        ),
        "top": (body.field(preset), levels.top),
        "rosette": (body.rosette_field(preset), levels.top),
    }
