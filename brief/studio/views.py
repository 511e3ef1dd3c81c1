"""From where the instrument is taken: the camera of each view, in metres of the room.

In the room x runs to the right, y up from the floor and z towards whoever looks; the instrument
stands about x = z = 0. How far off and through how long a lens: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from brief.colour.spaces import Array

View = Literal["turned", "front", "back", "close", "inlay", "hall"]
VIEWS: tuple[View, ...] = get_args(View)
WORDS: dict[View, str] = {
    "front": "standing, from the front",
    "turned": "turned a little",
    "back": "the back",
    "close": "close up, at the soundhole",
    "inlay": "close up, at the inlay",
    "hall": "from where people stand",
}
EYE_M = 1.55  # above the floor, standing
HALL_FILLS = 0.68
NEAR_M = 0.62  # a close view, from what it looks at
AROUND = 1.5  # times as much as an inlay is in its picture
LEAST_M = 0.07  # half of what is in it, over its height
FILLS = 0.88  # of the picture's height or width, which the instrument takes at most


@dataclass(frozen=True)
class Camera:
    """A camera.

    Attributes
    ----------
    origin, target : ndarray, shape (3,)
        Metres.
    fov_deg : float
        Over the picture's height.
    aperture_m : float
        Radius of the lens; 0 has all in focus.
    """

    origin: Array
    target: Array
    fov_deg: float
    aperture_m: float = 0.0


def turn_deg(view: View) -> float:
    """How far the instrument is turned about the upright, to the right."""
    return {"turned": -28.0, "back": 160.0, "hall": -12.0}.get(view, 0.0)


def is_close(view: View) -> bool:
    """Whether it looks at one place of the instrument."""
    return view in ("close", "inlay")


def camera(
    view: View,
    points: Array,
    spot: Array,
    distance_m: float,
    proportion: float,
    reach_m: float = 0.0,
) -> Camera:
    """The camera of a view.

    Parameters
    ----------
    view : str
    points : ndarray, shape (n, 3)
        Of the instrument where it stands, m.
    spot : ndarray, shape (3,)
        Where a close view looks, m.
    distance_m : float
        From where people stand, to the instrument.
    proportion : float
        Width of the picture to its height.
    reach_m : float
        From the middle of the inlay to its ends.
    """
    middle = (points.min(axis=0) + points.max(axis=0)) / 2
    if view == "hall":
        height = max(EYE_M, middle[1])
        origin = np.array([0.0, height, middle[2] + distance_m])
        aim = middle - (0, 0.06, 0)
        half = np.ptp(points[:, 1]) / 2 / HALL_FILLS
        return Camera(origin, aim, float(2 * np.degrees(np.arctan2(half, distance_m))))
    if view == "close":
        towards = _unit(np.array([0.30, 0.16, 1.0]))
        return Camera(spot + NEAR_M * towards, spot, 20.0, 0.0035)
    if view == "inlay":
        towards = _unit(np.array([0.24, 0.20, 1.0]))
        wide = max(AROUND * reach_m / min(1.0, proportion), LEAST_M)
        narrow = float(2 * np.degrees(np.arctan2(wide, NEAR_M)))
        return Camera(spot + NEAR_M * towards, spot, narrow, 0.002)
    towards = _unit(np.array([0.0, 0.07, 1.0]))
    fov = 17.0
    return Camera(middle + towards * _fit(points - middle, towards, fov, proportion), middle, fov)


def _fit(points: Array, towards: Array, fov_deg: float, proportion: float) -> float:
    """How far off a camera is to be for all of the points to be in its picture."""
    right = _unit(np.cross([0.0, 1.0, 0.0], towards))
    up = np.cross(towards, right)
    tall = np.tan(np.radians(fov_deg / 2)) * FILLS
    needed = np.maximum(np.abs(points @ up) / tall, np.abs(points @ right) / (tall * proportion))
    return float((needed + points @ towards).max())


def _unit(vector: Array) -> Array:
    made: Array = vector / np.linalg.norm(vector)
    return made
