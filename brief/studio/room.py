"""The room: its lamps, floor, wall, and a stand with the instrument on it; as Mitsuba has them.

It is grey but for the lamps, so that a grey card in it is lit by them alone. Sizes and places of
the lamps: common practice of whoever takes pictures of instruments, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brief.colour.spaces import Array
from brief.colour.viewing.light import Light
from brief.colour.viewing.spectra import power_of
from brief.instrument.solid.mesh import Solid
from brief.studio.renderer import mitsuba
from brief.studio.surfaces import Described, coated, spectrum
from brief.studio.views import Camera, View, is_close, turn_deg

MM = 0.001
LEAN_DEG = 9.0  # back, as on a stand
STOOD_M = 0.78  # the table that the stand is on, above the floor
FOOT_M = 0.09  # the instrument above its table
WALL, FLOOR, TABLE, STAND = 0.55, 0.28, 0.20, 0.03  # reflectances
ROD_M = 0.006
RAIL_M = 0.03  # in front of the instrument, that the stand does not tip
SPREAD = (0.6, 1.7)  # of a rail, behind and in front, to that of the arms
STRIP = 4.0  # radiance of the narrow lamp; what the walls give back has 0.22
BEHIND = 1.35  # times as far off as the camera is that lamp, so that it never is in the picture
ASIDE, NARROW, TALL = -0.075, 0.016, 0.36  # of how far off it is
KEY_WEIGHT = 2.0  # how much more often the broad lamp is looked at than another, to have less noise


@dataclass(frozen=True)
class Stood:
    """Where the instrument stands: from the upright mesh, mm, to the room, m."""

    turn: Array
    shift: Array

    def points(self, upright_mm: Array) -> Array:
        """Points of an upright mesh in the room, m."""
        moved: Array = upright_mm * MM @ self.turn.T + self.shift
        return moved

    def directions(self, upright: Array) -> Array:
        """Normals of an upright mesh in the room."""
        turned: Array = upright @ self.turn.T
        return turned


def stood(solids: Sequence[Solid], view: View) -> Stood:
    """The instrument leaning a little, turned as the view has it, on its foot."""
    points = np.concatenate([one.mesh.upright.points for one in solids]) * MM
    around, back = np.radians(turn_deg(view)), np.radians(LEAN_DEG)
    lean = np.array([(1, 0, 0), (0, np.cos(back), np.sin(back)), (0, -np.sin(back), np.cos(back))])
    facing = np.array(
        [(np.cos(around), 0, np.sin(around)), (0, 1, 0), (-np.sin(around), 0, np.cos(around))]
    )
    turn = facing @ lean
    placed = points @ turn.T
    low, high = placed.min(axis=0), placed.max(axis=0)
    shift = -(low + high) / 2
    shift[1] = STOOD_M + FOOT_M - low[1]
    return Stood(turn, shift)


def lamps(lit_by: Light, view: View, mirrored: Array) -> Described:
    """A broad lamp to the left above, a weaker one to the right, and what the walls give back.

    mirrored : a place, m, that a finish mirrors to whoever looks: a narrow lamp is there, as
    photographers put one, to show how it shines.
    """
    power = power_of(lit_by)
    key_at = (-1.5, 2.75, 1.9) if not is_close(view) else (-1.15, 1.9, 1.0)
    middle = (0.0, 1.25, 0.0)
    away = float(np.linalg.norm(mirrored - middle))
    return {
        "key": _lamp(key_at, middle, (0.45, 0.6), power * 9.0, KEY_WEIGHT),
        "second": _lamp((2.1, 2.0, 1.6), middle, (0.25, 0.7), power * 2.2, 1.0),
        "strip": _lamp(mirrored, middle, (NARROW * away, TALL * away), power * STRIP, 1.0),
        "walls": {
            "type": "constant",
            "radiance": spectrum(power * 0.22),
            "sampling_weight": 1.0,
        },
    }


def mirror_image(placed: Stood, view: View, points: Array, by: Camera) -> Array:
    """Where a lamp is that a flat finish would mirror into the camera, a little off its middle.

    points : of the instrument in the room, m.
    """
    face = placed.turn @ np.array([0.0, 0.0, -1.0 if view == "back" else 1.0])
    middle = (points.min(axis=0) + points.max(axis=0)) / 2 if not is_close(view) else by.target
    away = float(np.linalg.norm(by.origin - middle))
    to_camera = (by.origin - middle) / away
    back = 2 * (face @ to_camera) * face - to_camera
    aside = np.cross([0.0, 1.0, 0.0], back)
    place: Array = middle + BEHIND * away * (back + ASIDE * aside / np.linalg.norm(aside))
    return place


def _lamp(
    at: Sequence[float] | Array,
    towards: Sequence[float],
    half: Sequence[float],
    power: Array,
    weight: float,
) -> Described:
    return {
        "type": "rectangle",
        "to_world": looking(at, towards) @ scaled(half[0], half[1], 1),
        "emitter": {"type": "area", "radiance": spectrum(power), "sampling_weight": weight},
        "bsdf": {"type": "diffuse", "reflectance": spectrum(np.full(81, 0.02))},
    }


def walls() -> Described:
    """Floor, the table the stand is on, and the wall behind."""
    transform = mitsuba().ScalarTransform4f
    turned = transform().rotate([1, 0, 0], -90)
    table = transform().translate([0, STOOD_M / 2, 0.05]) @ scaled(0.55, STOOD_M / 2, 0.42)
    return {
        "wall": _plate(transform().translate([0, 2, -0.75]) @ scaled(6, 4, 1), WALL),
        "floor": _plate(transform().translate([0, 0, 2]) @ turned @ scaled(6, 6, 1), FLOOR),
        "table": {"type": "cube", "to_world": table, "bsdf": coated(np.full(81, TABLE), "bare")},
    }


def stand(points: Array, placed: Stood) -> tuple[Described, Array]:
    """Two arms below the body, on rails that lie on the table; black.

    points : of the instrument in the room, m.

    Returns
    -------
    (dict, ndarray of shape (2, 3))
        What it is made of; where its rails end in front, m.
    """
    front = placed.turn @ np.array([0.0, 0.0, 1.0])
    front = np.array([front[0], 0.0, front[2]]) / np.hypot(front[0], front[2])
    across = np.cross([0.0, 1.0, 0.0], front)
    local = np.stack([points @ across, points[:, 1], points @ front], axis=1)
    black = coated(np.full(81, STAND), "satin")
    made: Described = {}
    low, high = STOOD_M + ROD_M, float(local[:, 2].max()) + RAIL_M
    behind = float(local[:, 2].min()) - 0.05
    ends = []
    for name, side in (("left", -0.075), ("right", 0.075)):
        near = local[np.abs(local[:, 0] - side) < 0.012]
        under = near[near[:, 1] < near[:, 1].min() + 0.004] if len(near) else local
        y = float(under[:, 1].min()) - ROD_M
        reach = under[:, 2].min() - 0.03, under[:, 2].max() + 0.012
        corner = [(side, y, reach[0]), (side, y, reach[1]), (side, y + 0.028, reach[1] + 0.004)]
        foot, tip = ((side * wide, low, z) for wide, z in zip(SPREAD, (behind, high), strict=True))
        pieces = ((foot, corner[0]), corner[:2], corner[1:], (foot, tip))
        for number, (start, end) in enumerate(pieces):
            made[f"{name}{number}"] = _rod(start, end, across, front, black)
            made[f"{name}{number}end"] = _ball(end, across, front, black)
        ends.append(_placed(tip, across, front))
    return made, np.array(ends)


def _placed(at: Sequence[float], across: Array, front: Array) -> list[float]:
    point = at[0] * across + np.array([0.0, at[1], 0.0]) + at[2] * front
    return [float(value) for value in point]


def _rod(start: Any, end: Any, across: Array, front: Array, bsdf: Described) -> Described:
    return {
        "type": "cylinder",
        "p0": _placed(start, across, front),
        "p1": _placed(end, across, front),
        "radius": ROD_M,
        "bsdf": {"type": "twosided", "bsdf": bsdf},
    }


def _ball(at: Any, across: Array, front: Array, bsdf: Described) -> Described:
    return {"type": "sphere", "center": _placed(at, across, front), "radius": ROD_M, "bsdf": bsdf}


def _plate(to_world: Any, reflectance: float) -> Described:
    bsdf = coated(np.full(81, reflectance), "bare")
    return {"type": "rectangle", "to_world": to_world, "bsdf": {"type": "twosided", "bsdf": bsdf}}


def looking(at: Sequence[float] | Array, towards: Sequence[float] | Array) -> Any:
    """A rectangle or a camera at a place, facing another, upright."""
    return (
        mitsuba()
        .ScalarTransform4f()
        .look_at(origin=list(map(float, at)), target=list(map(float, towards)), up=[0, 1, 0])
    )


def scaled(x: float, y: float, z: float) -> Any:
    """Made larger."""
    return mitsuba().ScalarTransform4f().scale([x, y, z])
