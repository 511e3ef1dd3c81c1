"""CIEDE2000: how far apart two colours look.

The hue terms of the formula need hardly any trigonometry. The mean hue is the direction of the
bisector of the two colours' (a', b') vectors, its multiples follow from the double-angle
identities, and only the rotation term asks for an angle. Colours are taken in blocks that stay
in the processor's cache, which is where most of the speed comes from.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.spaces import Array, as_one_colour, as_pair
from brief.errors import ColourInputError, quoted

FloatOrArray = TypeVar("FloatOrArray", float, Array)

BLOCK = 8192  # pairs; the working arrays of 64 KB each then fit a second-level cache
STRAIGHT_DEG = 180 + 1e-9  # hues this far apart count as exactly opposite, whatever rounding did
NEARLY_OPPOSITE = 1e-4  # cos(Δh/2) below which the bisector is too short to give a direction
NO_LENGTH = 1e-60  # keeps the bisector of a grey, whose hue has no weight, from dividing by zero

_COS_30, _SIN_30 = math.cos(math.radians(30)), math.sin(math.radians(30))
_COS_6, _SIN_6 = math.cos(math.radians(6)), math.sin(math.radians(6))
_COS_63, _SIN_63 = math.cos(math.radians(63)), math.sin(math.radians(63))

Weights = tuple[float, float, float]
_Parts = tuple[Array, Array, Array, Array]


@dataclass(frozen=True)
class DifferenceParts(Generic[FloatOrArray]):
    """A CIEDE2000 difference and its parts, second colour less first.

    total² = lightness² + chroma² + hue² + rotation. The first three are signed: lightness is
    above 0 where the second colour is lighter, chroma where it is stronger, hue where it is
    further round from red towards yellow.
    """

    total: FloatOrArray
    lightness: FloatOrArray
    chroma: FloatOrArray
    hue: FloatOrArray
    rotation: FloatOrArray


def delta_e_2000(
    lab_1: ArrayLike,
    lab_2: ArrayLike,
    *,
    k_l: float = 1.0,
    k_c: float = 1.0,
    k_h: float = 1.0,
) -> Array:
    """Colour difference CIEDE2000.

    Parameters
    ----------
    lab_1, lab_2 : array_like, shape (..., 3), broadcast together
        CIELAB, D65 / 2°; L in [0, 100].
    k_l, k_c, k_h : float, above 0
        Weights of lightness, chroma and hue; 1 = reference conditions.

    Returns
    -------
    ndarray, shape (...), float64
        Never below 0; about 1 is just visible. The same whichever colour comes first.

    Raises
    ------
    ColourInputError
        If a last axis is not 3 long, a value is not finite, the shapes do not broadcast, or a
        weight is not above 0.

    References
    ----------
    Sharma, Wu and Dalal (2005), doi:10.1002/col.20070, Eqs. 2 to 22; tested on its Table 1.

    Examples
    --------
    >>> round(float(delta_e_2000([50, 2.6772, -79.7751], [50, 0, -82.7485])), 4)
    2.0425
    """
    weights = (k_l, k_c, k_h)
    for name, weight in zip(("k_l", "k_c", "k_h"), weights, strict=True):
        if not (math.isfinite(weight) and weight > 0):
            raise ColourInputError(f"{name} must be a number above 0; got {quoted(weight)}")

    def total(*columns: Array) -> list[Array]:
        return [_total(*_parts(weights, *columns))]

    return _in_blocks(lab_1, lab_2, total, results=1)[0]


def delta_e_2000_parts(lab_1: ArrayLike, lab_2: ArrayLike) -> DifferenceParts[Array]:
    """CIEDE2000 with its parts in lightness, chroma and hue, under reference conditions.

    Parameters
    ----------
    lab_1, lab_2 : array_like, shape (..., 3), broadcast together
        CIELAB, D65 / 2°; L in [0, 100].

    Returns
    -------
    DifferenceParts of ndarrays, shape (...)

    Raises
    ------
    ColourInputError
        As `delta_e_2000`; source as there.

    Examples
    --------
    >>> parts = delta_e_2000_parts([36, 9, 9], [84, 4, 20])
    >>> [round(float(part), 1) for part in (parts.total, parts.lightness)]
    [43.5, 42.2]
    """

    def total_and_parts(*columns: Array) -> list[Array]:
        parts = _parts((1.0, 1.0, 1.0), *columns)
        return [_total(*parts), *parts]

    return DifferenceParts(*_in_blocks(lab_1, lab_2, total_and_parts, results=5))


def small_differences(lab: ArrayLike) -> Array:
    """The matrix from small steps of L, a and b to steps in lightness, chroma and hue.

    Parameters
    ----------
    lab : array_like, shape (3,)
        The colour stepped from, CIELAB, D65 / 2°. A grey counts as of hue 0.

    Returns
    -------
    ndarray, shape (3, 3)
        The length of its product with a step is the CIEDE2000 of the step, without the rotation of
        blue hues.

    Raises
    ------
    ColourInputError
        If the colour is not three finite numbers.

    References
    ----------
    As `delta_e_2000`, Eqs. 2 to 20.

    Examples
    --------
    >>> small_differences([50, 0, 0]).diagonal().round(3).tolist()
    [1.0, 1.5, 1.0]
    """
    L, a, b = as_one_colour(lab)[:, np.newaxis]
    stretch = _stretch(np.hypot(a, b))
    ap = a * stretch
    chroma, hue = np.hypot(ap, b), np.arctan2(b, ap)
    along, across = np.cos(hue), np.sin(hue)
    S_L, S_C, S_H = _weighting(L.copy(), chroma, along, across, (1.0, 1.0, 1.0))
    none = np.zeros(1)
    steps: Array = np.array(
        [
            [1 / S_L, none, none],
            [none, along * stretch / S_C, across / S_C],
            [none, -across * stretch / S_H, along / S_H],
        ]
    )[..., 0]
    return steps


def _total(lightness: Array, chroma: Array, hue: Array, rotation: Array) -> Array:
    """Eq. 22; rounding can bring the sum just below 0 where the colours are nearly the same."""
    total = lightness * lightness
    total += chroma * chroma
    total += hue * hue
    total += rotation
    np.maximum(total, 0.0, out=total)
    return np.sqrt(total, out=total)


def _in_blocks(
    lab_1: ArrayLike, lab_2: ArrayLike, formula: Callable[..., list[Array]], results: int
) -> list[Array]:
    """Broadcast the colours, run `formula` on their six columns block by block, return it all."""
    one, two, shape = as_pair(lab_1, lab_2)
    kept = [np.empty(shape) for _ in range(results)]
    # Any, because NumPy's stubs do not know "contig".
    access: Any = [["readonly", "contig"]] * 6 + [["writeonly"]] * results
    blocks = np.nditer(
        [*np.moveaxis(one, -1, 0), *np.moveaxis(two, -1, 0), *kept],
        flags=["external_loop", "buffered", "zerosize_ok"],
        op_flags=access,
        buffersize=BLOCK,
    )
    with blocks:
        for block in blocks:
            for target, value in zip(block[6:], formula(*block[:6]), strict=True):
                target[...] = value
    return kept


def _parts(
    weights: Weights, L_1: Array, a_1: Array, b_1: Array, L_2: Array, a_2: Array, b_2: Array
) -> _Parts:
    """ΔL'/(k_L S_L), ΔC'/(k_C S_C), ΔH'/(k_H S_H) and R_T times the last two, of one block.

    Written in place where a value is not needed again: fewer arrays, so more stays in the cache.
    """
    # Eqs. 2 to 6: a is stretched near the neutral axis.
    bb_1, bb_2 = b_1 * b_1, b_2 * b_2
    C_bar = _length(a_1, bb_1)
    C_bar += _length(a_2, bb_2)
    C_bar *= 0.5
    stretch = _stretch(C_bar)
    ap_1, ap_2 = a_1 * stretch, a_2 * stretch
    Cp_1, Cp_2 = _length(ap_1, bb_1), _length(ap_2, bb_2)

    # Eqs. 10, 11 and 14: the bisector, 2 C'1 C'2 cos(Δh/2) long, points along the mean hue, and
    # sin(Δh/2) is the cross product divided by that length.
    product = Cp_1 * Cp_2
    cos_h = ap_1 * Cp_2
    cos_h += ap_2 * Cp_1
    sin_h = b_1 * Cp_2
    sin_h += b_2 * Cp_1
    length = _length(cos_h, sin_h * sin_h)
    opposite = np.flatnonzero(length < 2 * NEARLY_OPPOSITE * product)
    np.maximum(length, NO_LENGTH, out=length)
    cos_h /= length
    sin_h /= length
    dH = ap_1 * b_2
    dH -= ap_2 * b_1
    dH *= 2.0
    dH /= length
    dH *= np.sqrt(product, out=product)
    if opposite.size:
        half_dh, h_bar = _opposite_hues(
            ap_1[opposite], b_1[opposite], ap_2[opposite], b_2[opposite]
        )
        cos_h[opposite], sin_h[opposite] = np.cos(h_bar), np.sin(h_bar)
        dH[opposite] = 2.0 * product[opposite] * np.sin(half_dh)

    # Eqs. 18 to 20: the weighting functions.
    L_bar = L_1 + L_2
    L_bar *= 0.5
    Cp_bar = Cp_1 + Cp_2
    Cp_bar *= 0.5
    S_L, S_C, S_H = _weighting(L_bar, Cp_bar, cos_h, sin_h, weights)
    lightness = L_2 - L_1
    lightness /= S_L
    chroma = np.subtract(Cp_2, Cp_1, out=Cp_2)
    chroma /= S_C
    hue = np.divide(dH, S_H, out=dH)

    # Eqs. 16, 17 and 21: blues turn. The mean hue runs from 0 to 360° and does not wrap at 275°,
    # so it is measured as half a turn past the opposite hue.
    past = np.arctan2(-sin_h, -cos_h)
    past -= math.radians(275.0 - 180.0)
    past *= 1.0 / math.radians(25.0)
    past *= past
    turn = np.exp(np.negative(past, out=past), out=past)
    turn *= math.radians(60.0)
    rotation = np.sin(turn, out=turn)
    rotation *= -2.0
    rotation *= _chroma_ratio(Cp_bar)
    rotation *= chroma
    rotation *= hue
    return lightness, chroma, hue, rotation


def _length(x: Array, yy: Array) -> Array:
    """Length of a vector from one part and the square of the other."""
    length = x * x
    length += yy
    return np.sqrt(length, out=length)


def _stretch(chroma: Array) -> Array:
    """1 + G of Eqs. 4 and 5, by which a is stretched."""
    stretch = _chroma_ratio(chroma)
    stretch *= -0.5
    stretch += 1.5
    return stretch


def _weighting(
    L_bar: Array, Cp_bar: Array, cos_h: Array, sin_h: Array, weights: Weights
) -> tuple[Array, Array, Array]:
    """k S of lightness, chroma and hue, Eqs. 18 to 20; `L_bar` is used up."""
    k_l, k_c, k_h = weights
    from_mid = L_bar
    from_mid -= 50.0
    from_mid *= from_mid
    S_L = 0.015 * k_l * from_mid
    from_mid += 20.0
    S_L /= np.sqrt(from_mid, out=from_mid)
    S_L += k_l
    S_C = 0.045 * k_c * Cp_bar
    S_C += k_c
    S_H = _hue_weight(cos_h, sin_h)
    S_H *= Cp_bar
    S_H *= 0.015 * k_h
    S_H += k_h
    return S_L, S_C, S_H


def _chroma_ratio(chroma: Array) -> Array:
    """sqrt(C⁷ / (C⁷ + 25⁷)), of Eqs. 4 and 17."""
    power = chroma * chroma
    seventh = power * chroma
    seventh *= power
    seventh *= power
    np.add(seventh, 25.0**7, out=power)
    seventh /= power
    return np.sqrt(seventh, out=seventh)


def _hue_weight(cos_h: Array, sin_h: Array) -> Array:
    """T of Eq. 15, with cos 3h = cos h (2 cos 2h - 1) and sin 3h = sin h (2 cos 2h + 1)."""
    cos_2h = cos_h * cos_h
    cos_2h *= 2.0
    cos_2h -= 1.0
    with_cos = (0.64 * _COS_6) * cos_2h
    with_cos -= 0.17 * _COS_30 + 0.32 * _COS_6
    with_cos *= cos_h
    with_sin = (0.64 * _SIN_6) * cos_2h
    with_sin += 0.17 * _SIN_30 + 0.32 * _SIN_6
    with_sin *= sin_h
    with_cos -= with_sin
    fourth = sin_h * cos_h
    fourth *= 0.8 * _SIN_63
    fourth += (0.4 * _COS_63) * cos_2h
    np.subtract(0.24, fourth, out=fourth)
    fourth *= cos_2h
    fourth += with_cos
    fourth += 1.0 + 0.2 * _COS_63
    return fourth


def _opposite_hues(ap_1: Array, b_1: Array, ap_2: Array, b_2: Array) -> tuple[Array, Array]:
    """Half the hue difference and the mean hue, radians, by the angles (Eqs. 7, 10 and 14).

    Exactly opposite hues have no bisector; the formula takes the mean of their angles, and which
    of the two means that is must not hang on the last bit of an arctangent.
    """
    h_1, h_2 = np.arctan2(b_1, ap_1), np.arctan2(b_2, ap_2)
    h_1, h_2 = h_1 + 2 * np.pi * (h_1 < 0), h_2 + 2 * np.pi * (h_2 < 0)
    half_dh = (h_2 - h_1) / 2
    beyond = np.abs(half_dh) > math.radians(STRAIGHT_DEG) / 2
    half_dh = half_dh - np.pi * np.sign(half_dh) * beyond
    return half_dh, (h_1 + h_2) / 2 + np.pi * beyond
