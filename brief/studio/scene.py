"""The whole scene of a picture, and a film of it, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from brief.colour.spaces import Array
from brief.colour.viewing.light import Light
from brief.instrument.solid.mesh import Solid
from brief.studio.looks import Look, look_of
from brief.studio.renderer import mitsuba
from brief.studio.room import (
    Stood,
    lamps,
    looking,
    mirror_image,
    scaled,
    stand,
    stood,
    walls,
)
from brief.studio.surfaces import Described, coated, surface
from brief.studio.views import Camera, View, camera

DEPTH = 6  # how often light is thrown back at most
BLOCK_PX = 16  # a power of two, the same for any number of threads: each block has its own seed
PER_PASS = 4  # rays a pixel in one pass
CARD_PASSES, GLANCE_PASSES = 24, 2
GLANCE = 4  # as often is a picture smaller that is only glanced at
GREY = 0.5


@dataclass(frozen=True)
class Order:
    """What is to be taken.

    Attributes
    ----------
    view : str
    lit_by : Light
    distance_m : float
        From where people stand.
    width_px, height_px : int
    passes : int
        Of PER_PASS rays a pixel each.
    spot_mm : (float, float)
        Where a close view looks, on the front's drawing.
    """

    view: View
    lit_by: Light
    distance_m: float = 2.0
    width_px: int = 900
    height_px: int = 1300
    passes: int = 16
    spot_mm: tuple[float, float] = (0.0, 0.0)


class Scene:
    """An instrument in the room, ready to be taken.

    Parameters
    ----------
    solids : sequence of Solid
        At least one.
    looks : mapping of str to Look
        By role.
    order : Order

    Attributes
    ----------
    camera : Camera
    things : dict
        All that is in the room, as Mitsuba has it, by name.
    """

    def __init__(self, solids: Sequence[Solid], looks: Mapping[str, Look], order: Order) -> None:
        placed = stood(solids, order.view)
        self._order = order
        points = placed.points(np.concatenate([one.mesh.upright.points for one in solids]))
        stands, feet = stand(points, placed)
        spot, reach_m = _spot(solids, order, placed)
        self.camera = camera(
            order.view,
            np.concatenate([points, feet]),
            spot,
            order.distance_m,
            order.width_px / order.height_px,
            reach_m,
        )
        self._shown = _as_one({**stands, **_things(solids, looks, placed)})
        mirrored = mirror_image(placed, order.view, points, self.camera)
        self.things = {**lamps(order.lit_by, order.view, mirrored), **walls(), **self._shown}

    def one_pass(self, number: int) -> Array:
        """The film of that pass alone, from 0, XYZ by unit of radiance, shape (height, width, 3).

        It follows from its number, whatever was computed before it.
        """
        return rendered(self._large, number)

    @cached_property
    def _large(self) -> Any:
        order = self._order
        return loaded(self.things, self.camera, (order.width_px, order.height_px))

    def glance(self) -> Array:
        """A small film, quickly made, to see whether it is the right one."""
        order = self._order
        small = loaded(
            self.things, self.camera, (order.width_px // GLANCE, order.height_px // GLANCE)
        )
        *_, film = averaged(small, GLANCE_PASSES)
        return film

    def covered(self) -> Array:
        """How much of each pixel the instrument and its stand cover, shape (height, width)."""
        order = self._order
        size = (order.width_px, order.height_px)
        scene = loaded(self._shown, self.camera, size, alone=True)
        film = mitsuba().render(scene, spp=PER_PASS, seed=0)
        return np.array(film, dtype=np.float64)[..., 1]

    def white(self) -> Array:
        """XYZ of a white card before the instrument, told by a grey one, shape (3,)."""
        towards = (self.camera.origin - self.camera.target) / np.linalg.norm(
            self.camera.origin - self.camera.target
        )
        # As near as a hand would hold it, and not into the instrument.
        at = self.camera.target + towards * 0.12
        near = Camera(at + towards * 0.3, at, 4.0)
        *_, film = averaged(
            loaded({**self.things, "card": card(at, towards)}, near, (16, 16)),
            CARD_PASSES,
        )
        told: Array = film.mean(axis=(0, 1)) / GREY
        return told


def _spot(solids: Sequence[Solid], order: Order, placed: Stood) -> tuple[Array, float]:
    """Where a close view looks, and from there to the end of what it is to show, m."""
    inlays = [one for one in solids if one.name.startswith("inlay")]
    if order.view != "inlay" or not inlays:
        x, y = order.spot_mm
        return placed.points(np.array([[x, -y, 6.0]]))[0], 0.0
    points = placed.points(inlays[0].mesh.upright.points)  # the maker’s own come first
    low, high = points.min(axis=0), points.max(axis=0)
    return (low + high) / 2, float(np.linalg.norm(high - low)) / 2


def card(at: Array, towards: Array, half_m: float = 0.04) -> Described:
    """A grey card that faces that way."""
    bsdf = coated(np.full(81, GREY), "bare")
    to_world = looking(at, at + towards) @ scaled(half_m, half_m, 1)
    return {"type": "rectangle", "to_world": to_world, "bsdf": bsdf}


def _as_one(things: Mapping[str, Any]) -> dict[str, Any]:
    """Things that several scenes hold: each would make again what rays find them by."""
    renderer = mitsuba()
    group = renderer.load_dict({"type": "shapegroup", **things}, optimize=False)
    return {"shown": group, "there": renderer.load_dict({"type": "instance", "of": group})}


def _things(solids: Sequence[Solid], looks: Mapping[str, Look], placed: Stood) -> dict[str, Any]:
    """The instrument's meshes, each with the surface of its role, which is made once."""
    renderer = mitsuba()
    worn = {role: look_of(looks, role) for role in sorted({one.role for one in solids})}
    surfaces = {look: renderer.load_dict(surface(look)) for look in dict.fromkeys(worn.values())}
    made: dict[str, Any] = {}
    for number, solid in enumerate(solids):
        upright = solid.mesh.upright
        properties = renderer.Properties()
        properties["bsdf"] = surfaces[worn[solid.role]]
        mesh = renderer.Mesh(
            f"solid{number}",
            len(upright.points),
            len(upright.faces),
            has_vertex_normals=True,
            has_vertex_texcoords=True,
            props=properties,
        )
        parameters = renderer.traverse(mesh)
        for name, values, kind in (
            ("vertex_positions", placed.points(upright.points), np.float32),
            ("vertex_normals", placed.directions(upright.normals), np.float32),
            ("vertex_texcoords", upright.uv, np.float32),
            ("faces", upright.faces, np.uint32),
        ):
            parameters[name] = np.ascontiguousarray(values, dtype=kind).ravel()
        parameters.update()
        made[f"solid{number}"] = mesh
    return made


def loaded(
    things: Mapping[str, Any], by: Camera, size: tuple[int, int], *, alone: bool = False
) -> Any:
    """A scene of described things, taken by that camera at that width and height in pixels.

    alone : whether only where things are is wanted, as the second of two channels. There should
        be no lamp then, which would be a thing, too.
    """
    lens: Described = {"type": "perspective"}
    if by.aperture_m:
        focus = float(np.linalg.norm(by.origin - by.target))
        lens = {"type": "thinlens", "aperture_radius": by.aperture_m, "focus_distance": focus}
    return mitsuba().load_dict(
        {
            "type": "scene",
            "integrator": {
                "type": "path",
                "max_depth": 2 if alone else DEPTH,
                "block_size": BLOCK_PX,
            },
            "sensor": {
                **lens,
                "fov": by.fov_deg,
                "fov_axis": "y",
                "near_clip": 0.01,
                "to_world": looking(by.origin, by.target),
                "sampler": {"type": "independent", "sample_count": PER_PASS},
                "film": {
                    "type": "hdrfilm",
                    "width": size[0],
                    "height": size[1],
                    "pixel_format": "luminance_alpha" if alone else "xyz",
                    "component_format": "float32",
                    "rfilter": {"type": "box"},  # no pixel is summed up by two threads
                },
            },
            **things,
        },
        # What is merged comes in an order of chance, and each order of lamps takes other rays.
        optimize=False,
    )


def averaged(scene: Any, passes: int) -> Iterator[Array]:
    """The film after each pass; the same seeds each time, so that the same comes out."""
    total: Array | None = None
    for number in range(passes):
        film = rendered(scene, number)
        total = film if total is None else total + film
        yield total / (number + 1)


def rendered(scene: Any, number: int) -> Array:
    """The film of one pass, whose seed is its number."""
    return np.array(mitsuba().render(scene, spp=PER_PASS, seed=number), dtype=np.float64)
