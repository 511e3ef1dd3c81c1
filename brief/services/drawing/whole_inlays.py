"""Inlays as drawn, all of each together: whether they can be told from the wood they lie in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np
from pydantic import BaseModel, Field

from brief.colour.verdicts.step_back import StepBack, step_back_from_shape
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.shape import Shape, ShapePatch
from brief.instrument.inlay.cover import cover_of
from brief.instrument.inlay.places import shown_copy
from brief.instrument.inlay.polygons import Shapes, path_of
from brief.instrument.rendering.fill import Fill
from brief.services.common.field_types import Id
from brief.services.common.finding import listed
from brief.services.drawing.instrument_drawing import chosen, fills_of
from brief.services.instrument.brief_inlays import PartInlay, copies_of, inlays_of, place_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.conditions import asked_about
from brief.services.pairing.glances import Glance, glance_by
from brief.services.pairing.seen_in import SeenIn
from brief.services.pairing.sides import Asked, Sides, sides_of
from brief.services.pairing.verdict_views import ReadUnder, no_scale, told_of
from brief.services.photos.timber_figure import PATCH_PX_PER_MM, patch_of
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Material, Part, Viewing

KEPT = 1024  # readings in memory: a kilobyte or so each, and one piece of wood for each inlay
SHAPES_KEPT = 128  # of up to a quarter of a megabyte each: 180 x 180 pixels


class InlaySeen(BaseModel):
    """Whether an inlay as drawn, all of it together, can be told from the wood it lies in."""

    inlay_id: Id
    seen: list[ReadUnder] = Field(
        description="Under each condition, the bench first; none while a material or colour is "
        "missing or its fret is not on the board"
    )
    missing: list[str] = Field(description="What is not known, and what was done about it")


@dataclass(frozen=True)
class _Laid:
    """An inlay in its wood, but for their colours; told from another by its key."""

    key: tuple[object, ...]
    shape: Shapes = field(compare=False)
    patch: ShapePatch | None = field(compare=False)
    figure: Any = field(compare=False)


def whole_glances(
    desk: Desk, brief: Brief, seen: SeenIn, viewings: Sequence[Viewing]
) -> dict[str, Glance]:
    """What is seen of all of each inlay from there, by its id; none of one whose material, ground
    or colours are not known."""
    return {
        inlay_id: glance_by(partial(_steps, sides, laid), sides, seen, viewings)
        for inlay_id, sides, laid in _laid(desk, brief, inlays_of(desk, brief))
    }


def inlay_seen(desk: Desk, record: Inlay) -> InlaySeen:
    """All of one inlay under every condition of its brief."""
    brief = desk.session.get_one(Brief, record.brief_id)
    viewings = listed(desk, Viewing, brief_id=brief.id)
    held = [one for one in inlays_of(desk, brief) if one.record.id == record.id]
    shown, missing = list[ReadUnder](), list[str]()
    for _, sides, laid in _laid(desk, brief, held):
        asked = asked_about(viewings, sides.surfaces)
        missing += asked.missing
        if laid.patch is None and laid.figure is not None:
            missing.append(no_scale(f"The photograph of {sides.ground.material.label}"))
        shown += [
            ReadUnder(
                **told_of(one), reading=_steps(sides, laid, one, (one.distance_m,)).readings[0]
            )
            for one in asked.conditions
        ]
    return InlaySeen(inlay_id=record.id, seen=shown, missing=missing)


def _laid(desk: Desk, brief: Brief, inlays: Sequence[PartInlay]) -> list[tuple[str, Sides, _Laid]]:
    """Each of them that can be judged, its id first."""
    made, parts = instrument_of(brief), listed(desk, Part, brief_id=brief.id)
    with_pieces = chosen(desk, parts)
    pieces = {part.id: piece for part, piece in with_pieces}
    grounds: Mapping[str, Material] = {part.role: piece for part, piece in with_pieces}
    asked, copies = dict[str, Asked](), dict[str, Shapes]()
    for one in inlays:
        lies_on, laid = place_of(one.record).lies_on, copies_of(made, one.record)
        inlay, ground = pieces.get(one.part.id) if one.part else None, grounds.get(lies_on)
        if laid and inlay is not None and ground is not None and inlay.id != ground.id:
            asked[one.record.id] = Asked(one.record.id, ground, inlay)
            copies[one.record.id] = shown_copy(laid, lies_on)
    fills, sides = fills_of(desk, with_pieces, "bare"), sides_of(desk, list(asked.values()))
    kept = {one.record.id: one.record for one in inlays}
    return [
        (key, of, _in_wood(desk, of, copies[key], kept[key].lies_on, fills))
        for key, of in sides.items()
    ]


def _in_wood(
    desk: Desk, sides: Sides, copy: Shapes, lies_on: str, fills: Mapping[str, Fill]
) -> _Laid:
    path = path_of(copy)
    if sides.figure is not None and (patch := patch_of(desk, sides.figure)) is not None:
        turned = _is_turned(fills[lies_on], lies_on)
        if turned:
            patch = replace(patch, lab=np.rot90(patch.lab))
        return _Laid((path, sides.figure.key, turned), copy, patch, None)
    loose = sides.loose_figure
    return _Laid((path, None if loose is None else loose.tobytes()), copy, None, loose)


def _is_turned(fill: Fill, lies_on: str) -> bool:
    """Whether the photograph of the ground lies on its part by a quarter turn."""
    if fill.laying is not None and fill.laying.turn is not None:
        return fill.laying.turn % 180 == 90
    return fill.lying == (lies_on != "bridge")  # whose grain runs across the drawing


def _steps(
    sides: Sides, laid: _Laid, condition: Condition, distances_m: tuple[float, ...]
) -> StepBack:
    state = condition.state
    return _judged(
        laid,
        sides.ground.lab(state),
        sides.inlay.lab(state),
        sides.doubt(state),
        replace(condition, key="", words=""),
        distances_m,
    )


@lru_cache(KEPT)
def _judged(
    laid: _Laid,
    ground: tuple[float, float, float],
    inlay: tuple[float, float, float],
    doubt: float,
    condition: Condition,
    distances_m: tuple[float, ...],
) -> StepBack:
    """As `step_back_from_shape`, once for each pair of colours under that condition."""
    return step_back_from_shape(
        ground,
        inlay,
        condition,
        distances_m,
        shape=_shape(laid),
        uncertainty=doubt,
        patch=laid.patch,
        figure=laid.figure,
    )


@lru_cache(SHAPES_KEPT)
def _shape(laid: _Laid) -> Shape:
    cover, edge_mm = cover_of(laid.shape, PATCH_PX_PER_MM)
    return Shape(cover, 1 / PATCH_PX_PER_MM, edge_mm)
