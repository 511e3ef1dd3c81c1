"""The Munsell notation of a colour, which charts of timber, soil and dye go by.

The renotation data are in munsell.json, made from colour-science's by `munsell_table`. Its own
search through them fails on one in nine of the very colours that the data list, and takes from a
fifth of a second to many seconds; so the data are searched here: the hues and chromas at the
colour's value span a net of triangles in CIELAB, and the colour lies in one of them.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.notation.adaptation import lab_under, white_point
from brief.colour.spaces import Array, as_one_colour, lab_to_xyz, xyz_to_lab
from brief.errors import ColourInputError

FAMILIES = ("R", "YR", "Y", "GY", "G", "BG", "B", "PB", "P", "RP")  # ten steps of hue each
LOWEST_VALUE = 0.2  # where the data begin
ON_PLANE = 0.005  # in value; rounding must not ask for a second plane, which may reach less far
MAGNESIUM_OXIDE = 0.975  # the data count it as the white; ASTM D1535 counts a perfect diffuser
_HUES, _CHROMAS = 40, 26  # every 2.5 steps of hue, every 2 of chroma from grey on


@dataclass(frozen=True)
class Munsell:
    """A Munsell notation, "7.5YR 5.2/4.1" or "N 5.2"; or None and the reason why there is none."""

    notation: str | None
    reason: str = ""


def munsell_of(lab: ArrayLike) -> Munsell:
    """The Munsell notation of one colour, with hue, value and chroma to one decimal.

    Parameters
    ----------
    lab : array_like, shape (3,)
        CIELAB, D65 / 2°; L in [0, 100].

    Returns
    -------
    Munsell
        Without a notation, but with the reason, where the data end: below value 0.2, and beyond
        the strongest chroma that their authors extrapolated to, well beyond what surfaces reach.

    Raises
    ------
    ColourInputError
        If it is not three finite numbers, or L is outside 0 to 100.

    Notes
    -----
    The colour is adapted (Bradford) to illuminant C, under which the renotation holds.

    References
    ----------
    Newhall, Nickerson and Judd (1943), Final report of the O.S.A. subcommittee on the spacing of
    the Munsell colors, J. Opt. Soc. Am. 33(7), 385-418; ASTM D1535 for value.
    """
    colour = as_one_colour(lab, "Lab")
    if not 0 <= colour[0] <= 100:
        raise ColourInputError(f"L must lie between 0 and 100; got {colour[0]:g}")
    return _munsell(*colour.tolist())


@lru_cache(maxsize=4096)
def _munsell(L: float, a: float, b: float) -> Munsell:
    white = white_point("c", "2")
    lab = np.array(lab_under((L, a, b), "c", "2"))
    Y = float(lab_to_xyz(lab, white)[1])
    value = _value(Y)
    if value < LOWEST_VALUE:
        return Munsell(
            None, f"Too dark for the Munsell renotation, which begins at {LOWEST_VALUE}."
        )
    found = _place(_net(Y, value, white), lab[1:])
    if found is None:
        return Munsell(None, "Stronger than any colour in the Munsell renotation.")
    hue, chroma = found
    if round(chroma, 1) == 0:
        return Munsell(f"N {value:.1f}")
    family, step = divmod(round(hue, 1) % 100, 10)
    if step == 0:  # is written as the 10 of the family before
        family, step = family - 1, 10.0
    return Munsell(f"{round(step, 1):g}{FAMILIES[int(family)]} {value:.1f}/{chroma:.1f}")


def _value(Y: float) -> float:
    """The value, 0 to 10, of a luminance, 1 for a perfect diffuser: ASTM D1535, turned round."""
    values, luminances = _values()
    return float(np.interp(100 * Y, luminances, values))


@cache
def _values() -> tuple[Array, Array]:
    """Values in steps of 0.001, and the luminance of each, 100 for a perfect diffuser."""
    V = np.linspace(0, 10, 10_001)
    Y = 1.1914 * V - 0.22533 * V**2 + 0.23352 * V**3 - 0.020484 * V**4 + 0.00081939 * V**5
    return V, Y


@cache
def _planes() -> dict[float, tuple[float, Array]]:
    """By value: luminance Y, and x, y by hue and chroma, NaN where there are none."""
    planes: dict[float, tuple[float, Array]] = {}
    grey = white_point("c", "2")[:2] / white_point("c", "2").sum()
    text = files("brief.colour.notation").joinpath("munsell.json").read_text(encoding="utf-8")
    for plane in json.loads(text):
        xy = np.full((_HUES, _CHROMAS, 2), np.nan)
        xy[:, 0] = grey
        for hue, along in plane["xy"].items():
            family = hue.lstrip("0123456789.")
            place = FAMILIES.index(family) * 4 + float(hue.removesuffix(family)) / 2.5
            xy[round(place) % _HUES, 1 : len(along) + 1] = along
        planes[plane["value"]] = plane["Y"] / 100 * MAGNESIUM_OXIDE, xy
    return planes


def _net(Y: float, value: float, white: Array) -> Array:
    """CIELAB a, b by hue and chroma at one value, between the planes in proportion to Y."""
    planes = _planes()
    nearest = min(planes, key=lambda known: abs(known - value))
    if abs(nearest - value) < ON_PLANE:
        value = nearest
    below = max(known for known in planes if known <= value)
    Y_below, xy = planes[below]
    if value > below:
        Y_above, xy_above = planes[min(known for known in planes if known > value)]
        xy = xy + (Y - Y_below) / (Y_above - Y_below) * (xy_above - xy)
    x, y = xy[..., 0], xy[..., 1]
    known = np.isfinite(x)
    net = np.full_like(xy, np.nan)
    xyz = np.stack([x, y, 1 - x - y], axis=-1)[known] * (Y / y[known])[:, None]
    net[known] = xyz_to_lab(xyz, white)[:, 1:]
    return net


def _place(net: Array, ab: Array) -> tuple[float, float] | None:
    """Hue (0 to 100) and chroma of a point in the net, None outside."""
    corners, hues, chromas = _triangles(net)
    origin = corners[:, 0]
    one, two, to = corners[:, 1] - origin, corners[:, 2] - origin, ab - origin
    area = _cross(one, two)
    with np.errstate(divide="ignore", invalid="ignore"):  # missing corners, and twice the grey
        second, third = _cross(to, two) / area, _cross(one, to) / area
    weights = np.stack([1 - second - third, second, third], axis=-1)
    inside = np.flatnonzero((weights >= -1e-9).all(axis=-1))
    if not inside.size:
        return None
    # The darkest planes fold over themselves far out; the weakest chroma is the real one.
    chroma = (weights[inside] * chromas[inside]).sum(axis=-1)
    best = inside[chroma.argmin()]
    pull = weights[best] * chromas[best]
    if chroma.min() <= 0:
        return 0.0, 0.0
    return float(pull @ hues[best] / pull.sum()), float(pull.sum())


def _triangles(net: Array) -> tuple[Array, Array, Array]:
    """Corners (n, 3, 2), hues (n, 3) and chromas (n, 3): two triangles to each cell of the net."""
    hue, chroma = np.meshgrid(np.arange(_HUES), np.arange(_CHROMAS - 1), indexing="ij")
    cells = [
        np.stack([hue + right, chroma + out], axis=-1).reshape(-1, 1, 2)
        for right, out in ((0, 0), (1, 0), (0, 1), (1, 1))
    ]
    near, across, out, far = cells
    places = np.concatenate(
        [np.concatenate([near, across, out], axis=1), np.concatenate([across, far, out], axis=1)]
    )
    corners = net[places[..., 0] % _HUES, places[..., 1]]
    return corners, places[..., 0] * 2.5, places[..., 1] * 2.0


def _cross(one: Array, two: Array) -> Array:
    product: Array = one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0]
    return product
