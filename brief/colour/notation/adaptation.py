"""Readings of a colour meter, taken under its light and observer, brought to D65 / 2°.

Three numbers do not hold a spectrum, so that neither the light nor the observer can be changed
exactly. Both are changed by one chromatic adaptation (Bradford) from the white of the meter's
light and observer to our white. How far that lands from the truth was found by simulation and
goes with every reading as its uncertainty.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.spaces import (
    D65_WHITE,
    Array,
    as_colours,
    lab_to_xyz,
    lch_to_lab,
    xyz_to_lab,
)
from brief.errors import ColourInputError, quoted

Lab = tuple[float, float, float]

OPPONENT_LIMIT = 200.0  # no surface and no screen comes near |a| or |b| of this
RANGES = {
    "lab": (
        ("L", 0.0, 100.0),
        ("a", -OPPONENT_LIMIT, OPPONENT_LIMIT),
        ("b", -OPPONENT_LIMIT, OPPONENT_LIMIT),
    ),
    "lch": (("L", 0.0, 100.0), ("C", 0.0, OPPONENT_LIMIT * np.sqrt(2)), ("h", -360.0, 360.0)),
    "xyz": (("X", 0.0, 200.0), ("Y", 0.0, 100.0), ("Z", 0.0, 200.0)),
}

LIGHTS = ("a", "c", "d50", "d55", "d65", "d75", "f2", "f7", "f11")
OBSERVERS = ("2", "10")
HOME = ("d65", "2")

# colormath knows the 10° observer under daylight only; the rest is ASTM E308, table 5 (from
# memory, tested against the integrals of the CIE tables).
_WHITES_10 = {
    "a": (1.11144, 1.0, 0.35200),
    "c": (0.97285, 1.0, 1.16145),
    "f2": (1.03279, 1.0, 0.69027),
    "f7": (0.95792, 1.0, 1.07686),
    "f11": (1.03863, 1.0, 0.65607),
}

# CIEDE2000 that 95 in 100 surfaces stay within: 24 chart patches and the 99 samples of CIE
# 224:2017 (nature, skin, textiles, paints, plastics, prints), each integrated under the light and
# observer, adapted as here, and held against its integral under D65 / 2°. Rounded up to 0.1.
_ADDED_UNCERTAINTY = {
    "2": {"a": 5.1, "c": 0.7, "d50": 1.4, "d55": 0.9, "d65": 0.0, "d75": 0.6}
    | {"f2": 8.6, "f7": 2.3, "f11": 6.3},
    "10": {"a": 3.6, "c": 4.5, "d50": 3.9, "d55": 4.2, "d65": 4.7, "d75": 5.0}
    | {"f2": 7.1, "f7": 3.6, "f11": 4.3},
}


@dataclass(frozen=True)
class MeterReading:
    """A reading brought to D65 / 2°.

    Attributes
    ----------
    lab : tuple of float
        CIELAB, D65 / 2°.
    uncertainty : float
        CIEDE2000 that the change of light and observer adds (95 in 100 surfaces stay within it),
        without the meter's own error; 0 where nothing was changed.
    note : str
        The same in a sentence; empty where nothing was changed.
    """

    lab: Lab
    uncertainty: float = 0.0
    note: str = ""


def white_point(illuminant: str, observer: str | int) -> Array:
    """XYZ of a meter's white.

    Parameters
    ----------
    illuminant : str
        A, C, D50, D55, D65, D75, F2, F7 or F11, in either case.
    observer : str or int
        2 or 10, degrees.

    Returns
    -------
    ndarray, shape (3,)
        With Y = 1.

    Raises
    ------
    ColourInputError
        For any other illuminant or observer.

    References
    ----------
    colormath's table; ASTM E308, table 5 (from memory), for 10° under other lights than daylight.
    """
    from brief.colour.libraries import ILLUMINANTS

    light, degrees = _known(illuminant, observer)
    known = ILLUMINANTS[degrees]
    return np.array(known[light] if light in known else _WHITES_10[light])


def reading_to_lab(
    values: Sequence[float] | Array,
    space: str = "lab",
    illuminant: str = "d50",
    observer: str | int = "10",
) -> MeterReading:
    """Bring a meter's reading to CIELAB, D65 / 2°.

    The white of the meter's light and observer is taken for the white that the eye was adapted
    to. That moves greys exactly and every other colour about right; `MeterReading.uncertainty`
    says how nearly. From D65 with 10° it is 4.7 CIEDE2000, nearly as much as from A with 2°: a
    meter that can be set to D65 and 2° should be.

    Parameters
    ----------
    values : three numbers
        L, a, b; or L, C, h in degrees; or X, Y, Z with white at Y = 100.
    space : "lab", "lch" or "xyz"
    illuminant : A, C, D50, D55, D65, D75, F2, F7 or F11, in either case
    observer : 2 or 10, degrees

    Returns
    -------
    MeterReading

    Raises
    ------
    ColourInputError
        If space, illuminant or observer is none of these, or a number is not finite, outside its
        range (`RANGES`), or comes out beyond |a| or |b| of 200.

    References
    ----------
    CIE 15:2004; the Bradford matrix as colormath has it.

    Examples
    --------
    >>> [round(value, 1) for value in reading_to_lab([38.2, 9.1, 15.4], observer=2).lab]
    [38.0, 8.0, 15.2]
    """
    if space not in RANGES:
        raise ColourInputError(f"a reading must be lab, lch or xyz; got {quoted(space)}")
    home = _known(illuminant, observer) == HOME
    white = white_point(illuminant, observer)
    numbers = _in_range(values, space)
    if space == "xyz":
        lab = xyz_to_lab(numbers / 100, white)
    else:
        lab = lch_to_lab(numbers) if space == "lch" else numbers
    if not home:
        lab = _adapted(lab, white, D65_WHITE)
    L, a, b = lab.tolist()
    if max(abs(a), abs(b)) > OPPONENT_LIMIT:
        raise ColourInputError(
            f"that is stronger than any colour: a {a:.0f}, b {b:.0f}; "
            f"both must lie between -{OPPONENT_LIMIT:.0f} and {OPPONENT_LIMIT:.0f}"
        )
    L = min(max(L, 0.0), 100.0)  # white and black come out a rounding beyond
    return MeterReading((L, a, b), *_doubt(illuminant, observer))


def lab_under(lab: ArrayLike, illuminant: str = "d50", observer: str | int = "2") -> Array:
    """Colours as they are written under another light; the reverse of `reading_to_lab`.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    illuminant, observer : as `white_point`

    Returns
    -------
    ndarray, shape (..., 3)
        CIELAB under that light and observer.

    Raises
    ------
    ColourInputError
        If a colour is not three finite numbers or the light is not known.
    """
    colours = as_colours(lab, "Lab")
    if _known(illuminant, observer) != HOME:
        colours = _adapted(colours, D65_WHITE, white_point(illuminant, observer))
    return colours


def _known(illuminant: str, observer: str | int) -> tuple[str, str]:
    light, degrees = illuminant.strip().casefold(), str(observer).strip()
    if light not in LIGHTS:
        raise ColourInputError(
            f"the light of a reading must be one of {', '.join(LIGHTS).upper()}; "
            f"got {quoted(illuminant)}"
        )
    if degrees not in OBSERVERS:
        raise ColourInputError(
            f"the observer of a reading must be 2 or 10 degrees; got {quoted(observer)}"
        )
    return light, degrees


def _in_range(values: Sequence[float] | Array, space: str) -> Array:
    try:
        numbers = [float(value) for value in values]
    except (TypeError, ValueError) as exc:
        raise ColourInputError(f"a reading must be three numbers; got {quoted(values)}") from exc
    if len(numbers) != 3:
        raise ColourInputError(f"a reading must be three numbers; got {len(numbers)}")
    for (name, low, high), value in zip(RANGES[space], numbers, strict=True):
        if not low <= value <= high:  # NaN fails, too
            raise ColourInputError(
                f"{name} must lie between {low:.0f} and {high:.0f}; got {value:g}"
            )
    return np.array(numbers)


def _adapted(lab: Array, from_white: Array, to_white: Array) -> Array:
    from brief.colour.libraries import apply_chromatic_adaptation

    # It takes one colour and is linear: from what becomes of X, Y and Z follows what of any.
    rows = np.array([apply_chromatic_adaptation(*one, from_white, to_white) for one in np.eye(3)])
    return xyz_to_lab(lab_to_xyz(lab, from_white) @ rows, to_white)


def _doubt(illuminant: str, observer: str | int) -> tuple[float, str]:
    light, degrees = _known(illuminant, observer)
    added = _ADDED_UNCERTAINTY[degrees][light]
    if not added:
        return 0.0, ""
    return added, (
        f"Measured under {light.upper()} with the {degrees}° observer and brought to D65, 2°; "
        f"that alone may put the colour off by {added:.1f} (95 in 100 surfaces stay within it)."
    )
