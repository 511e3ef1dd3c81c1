"""What the eye keeps of a fine line at a distance (S-CIELAB).

Zhang and Wandell (1996), A spatial extension of CIELAB for digital color image reproduction, SID
Symposium Digest 27, 731-734: in an opponent space the eye blurs each channel by a sum of kernels
exp(-r² / s²). Along a straight line of some width they integrate to `erf`, which is ours.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, as_numbers, as_pair, lab_to_xyz, xyz_to_lab
from brief.errors import ColourInputError, quoted

# XYZ to luminance, red-green, blue-yellow. The third red-green term is positive in the authors'
# code and negative in a short form often quoted; the code is followed.
OPPONENT = np.array(
    [
        [0.2787336, 0.7218031, -0.1065520],
        [-0.4487736, 0.2898056, 0.0771569],
        [0.0859513, -0.5899859, 0.5011089],
    ]
)
# Of each channel: (weight, s in degrees of visual angle). The weights are divided by their sum.
# s is no standard deviation: that is s / sqrt(2).
KERNELS: tuple[tuple[tuple[float, float], ...], ...] = (
    ((0.921, 0.0283), (0.105, 0.133), (-0.108, 4.336)),
    ((0.531, 0.0392), (0.330, 0.494)),
    ((0.488, 0.0536), (0.371, 0.386)),
)
# Below this a line keeps no hue that could be named: half a period at the 11.5 cycles a degree
# that red-green and blue-yellow gratings fade at (Mullen 1985, J. Physiol. 359, 381-400).
HUE_ARC_MINUTES = 2.6
WIDTHS_MM = (0.05, 10.0)
DISTANCES_M = (0.2, 20.0)
STEPS = 120
ROUNDS, CLOSER = 4, 18  # each round looks at places 17 times as close: to 1 part in 10^6

Needed = Callable[[Array], Array]


def arc_minutes(width_mm: ArrayLike, distance_m: ArrayLike) -> Array:
    """The visual angle of a width from a distance, minutes of arc.

    Parameters
    ----------
    width_mm, distance_m : array_like, above 0, broadcast together

    Raises
    ------
    ColourInputError
        If a number is not finite or not above 0, or the shapes do not broadcast.
    """
    width = _above_0(width_mm, "width", "mm")
    away = _above_0(distance_m, "distance", "m")
    try:
        angle: Array = 60 * np.degrees(2 * np.arctan(width / away / 2000))
    except ValueError as exc:
        raise ColourInputError(
            f"widths and distances must go together; got shapes {width.shape} and {away.shape}"
        ) from exc
    return angle


def line_as_seen(
    ground: ArrayLike, line: ArrayLike, width_mm: ArrayLike, distance_m: ArrayLike
) -> Array:
    """The colour that the middle of a long straight line has for the eye.

    Parameters
    ----------
    ground, line : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    width_mm, distance_m : array_like, shape (...), above 0
        All four broadcast together.

    Returns
    -------
    ndarray, shape (..., 3)
        CIELAB, D65 / 2°.

    Raises
    ------
    ColourInputError
        If a shape is wrong, or a number is not finite or not above 0.

    Notes
    -----
    Very near, a line can stand out a little more than its colour would by itself, since the eye
    blurs the ground into its colour more than into its lightness.

    References
    ----------
    Zhang and Wandell (1996), as in the head of this module.

    Examples
    --------
    >>> seen = line_as_seen([36, 9, 9], [84, 4, 20], 0.5, 2)
    >>> round(float(delta_e_2000(seen, [36, 9, 9])), 2)
    23.5
    """
    return colour_as_kept(ground, line, line_response(width_mm, distance_m))


def colour_as_kept(ground: ArrayLike, other: ArrayLike, kept: Array) -> Array:
    """A colour on its ground of which each opponent channel keeps a share.

    Parameters
    ----------
    ground, other : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    kept : ndarray, shape (..., 3)
        Of luminance, red-green and blue-yellow. All broadcast together.

    Returns
    -------
    ndarray, shape (..., 3)
        CIELAB, D65 / 2°.

    Raises
    ------
    ColourInputError
        If a shape is wrong, or a colour is not finite.
    """
    below, above, _ = as_pair(ground, other)
    ground_opponent = lab_to_xyz(below) @ OPPONENT.T
    opponent = lab_to_xyz(above) @ OPPONENT.T
    try:
        seen = ground_opponent + kept * (opponent - ground_opponent)
    except ValueError as exc:
        raise ColourInputError(
            f"colours and widths must go together; got {below.shape} and {kept.shape[:-1]}"
        ) from exc
    return xyz_to_lab(seen @ np.linalg.inv(OPPONENT).T)


def line_response(width_mm: ArrayLike, distance_m: ArrayLike) -> Array:
    """How much of its difference to the ground each opponent channel keeps, at most about 1.

    Parameters and errors as `arc_minutes`; returns an ndarray of shape (..., 3): luminance,
    red-green, blue-yellow.
    """
    from scipy.special import erf

    degrees = arc_minutes(width_mm, distance_m) / 60
    kept = [
        sum(weight * erf(degrees / (2 * s)) for weight, s in kernels)
        / sum(weight for weight, _ in kernels)
        for kernels in KERNELS
    ]
    return np.stack(kept, axis=-1)


def wave_response(cycles_per_degree: ArrayLike) -> Array:
    """How much each opponent channel keeps of a grating of that fineness, shape (..., 3)."""
    f = np.asarray(cycles_per_degree, dtype=np.float64)
    channels = []
    for kernels in KERNELS:
        whole = sum(weight for weight, _ in kernels)
        channels.append(sum(w / whole * np.exp(-((np.pi * f * s) ** 2)) for w, s in kernels))
    return np.stack(channels, axis=-1)


def names_colour(width_mm: float, distance_m: float) -> bool:
    """Whether the hue of a line that wide can still be told from there.

    References
    ----------
    Mullen (1985), J. Physiol. 359, 381-400, for `HUE_ARC_MINUTES`.
    """
    return bool(arc_minutes(width_mm, distance_m) >= HUE_ARC_MINUTES)


def width_to_read(
    ground: ArrayLike, line: ArrayLike, distance_m: float, needed: float | Needed
) -> float | None:
    """The width in mm of the finest line that is at least `needed` from its ground, as seen.

    Parameters
    ----------
    ground, line : array_like, shape (3,)
        CIELAB, D65 / 2°.
    distance_m : float, above 0
    needed : float above 0, or callable
        CIEDE2000, or a function that gives it for widths in mm.

    Returns
    -------
    float or None
        0.05 to 10 mm; None if no width up to 10 mm is enough.

    Raises
    ------
    ColourInputError
        As `line_as_seen`, and for a `needed` that is not above 0.
    """

    def spare(widths: Array) -> Array:
        apart = delta_e_2000(line_as_seen(ground, line, widths, distance_m), ground)
        left: Array = apart - _enough(needed, widths)
        return left

    return _edge(spare, np.geomspace(*WIDTHS_MM, STEPS))


def distance_to_read(
    ground: ArrayLike, line: ArrayLike, width_mm: float, needed: float | Needed
) -> float | None:
    """The farthest distance in m at which a line is at least `needed` from its ground, as seen.

    Parameters
    ----------
    ground, line : array_like, shape (3,)
        CIELAB, D65 / 2°.
    width_mm : float, above 0
    needed : float above 0, or callable
        CIEDE2000, or a function that gives it for distances in m.

    Returns
    -------
    float or None
        0.2 to 20 m, where 20 means that and more; None if no distance will do. A line in a figure
        that fades sooner than the line may be lost nearer by.

    Raises
    ------
    ColourInputError
        As `line_as_seen`, and for a `needed` that is not above 0.
    """

    def spare(distances: Array) -> Array:
        apart = delta_e_2000(line_as_seen(ground, line, width_mm, distances), ground)
        left: Array = apart - _enough(needed, distances)
        return left

    return _edge(spare, np.geomspace(*DISTANCES_M, STEPS)[::-1])


def _enough(needed: float | Needed, places: Array) -> Array:
    given = needed(places) if callable(needed) else needed
    enough: Array = np.broadcast_to(_above_0(given, "what is needed", "CIEDE2000"), places.shape)
    return enough


def _edge(spare: Callable[[Array], Array], places: Array) -> float | None:
    """The first place, in order, with something to spare; None without one."""
    enough = np.flatnonzero(spare(places) >= 0)
    if enough.size == 0:
        return None
    first = int(enough[0])
    if first == 0:
        return float(places[0])
    # A few places at once, several times over: far fewer calls than halving would take.
    for _ in range(ROUNDS):
        places = np.geomspace(places[first - 1], places[first], CLOSER)
        enough = np.flatnonzero(spare(places[:-1]) >= 0)
        first = int(enough[0]) if enough.size else CLOSER - 1
    return float(places[first])


def _above_0(values: ArrayLike, name: str, unit: str) -> Array:
    numbers = as_numbers(values, name)
    if not (np.isfinite(numbers) & (numbers > 0)).all():
        raise ColourInputError(f"{name} must be above 0 {unit}; got {quoted(values)}")
    return numbers
