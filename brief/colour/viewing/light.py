"""Colours as they are in another light than daylight, once the eye has got used to it."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import cache, lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.difference import delta_e_2000
from brief.colour.spaces import Array, lab_through
from brief.colour.viewing.colour_vision import IDENTITY, Matrix
from brief.errors import ColourInputError, quoted

if TYPE_CHECKING:
    from brief.colour.viewing.colour_vision import Eyes

KELVIN_LIMITS = (2000.0, 7000.0)
RENDERING_LIMITS = (50.0, 100.0)
# How near a light has to be to stand for a lamp: our working figures. One mired is one millionth
# of a reciprocal kelvin, in which equal steps look equal.
NEAR_MIRED, NEAR_RENDERING = 40.0, 10.0
SPREAD_REACH = 2.0  # times the spread of near lights; then 95 in 100 lie within, see tests
LEAST_SPREAD = 0.5  # CIEDE2000; where but one light is near, others like it are not known
_KINDS = (
    ("LED-BH", "white LED, two kinds in one"),
    ("LED-RGB", "LED of red, green and blue"),
    ("LED-V", "white LED, violet pumped"),
    ("LED", "white LED"),
    ("FL", "fluorescent lamp"),
    ("HP", "discharge lamp"),
)


@dataclass(frozen=True)
class Light:
    """A light to see by.

    Attributes
    ----------
    key : str
        Its CIE name, or what the lamp was known by.
    kelvin : float
        Correlated colour temperature.
    rendering : float
        CIE colour rendering index Ra.
    uncertainty : float
        CIEDE2000 within which 95 in 100 surfaces are of where the matrix puts them, on sets of
        surfaces that it was not fitted to.
    matrix : tuple, 3 x 3
        Linear sRGB in daylight to linear sRGB in this light, adapted back.
    """

    key: str
    words: str
    kelvin: float
    rendering: float
    uncertainty: float
    matrix: Matrix = field(repr=False)


DAYLIGHT = Light("D65", "daylight", 6504.0, 100.0, 0.0, IDENTITY)


def lights() -> tuple[Light, ...]:
    """The lights known by their published spectra: CIE A, the D, FL, HP and LED series."""
    return tuple(one for key, one in _table().items() if not key.endswith(" K"))


def light(key: str) -> Light:
    """The light of that CIE name.

    Raises
    ------
    ColourInputError
        For another name; the message lists the known ones.
    """
    known = {one.key: one for one in lights()}
    if key not in known:
        raise ColourInputError.at(
            "light", f"{quoted(key)} is not a light known here; known are {', '.join(known)}"
        )
    return known[key]


def lamp(kelvin: float, rendering: float) -> Light:
    """A lamp of which only its colour temperature and colour rendering are known.

    Parameters
    ----------
    kelvin : float, 2000 to 7000
    rendering : float, 50 to 100
        CIE Ra.

    Returns
    -------
    Light

    Raises
    ------
    ColourInputError
        Outside these ranges.

    Notes
    -----
    Many spectra share the two numbers. The published ones that come near them are blended, the
    nearer the more, and their effect on colours is believed only as far as they agree on it
    (positive-part James and Stein 1961): lamps that differ among themselves by more than from
    daylight foretell nothing. Into the uncertainty goes what is uncertain of each, how far apart
    they put known surfaces, though never less than LEAST_SPREAD, and one CIEDE2000 for each step
    that the nearest is off. A lamp of few narrow lines, as of red, green and blue LEDs, may still
    be outside.
    """
    for name, value, (least, most) in (
        ("kelvin", kelvin, KELVIN_LIMITS),
        ("rendering", rendering, RENDERING_LIMITS),
    ):
        if not least <= value <= most:  # False for NaN, too
            raise ColourInputError.at(
                name, f"{name} must be {least:g} to {most:g} for a lamp; got {value:g}"
            )
    return _blend(kelvin, rendering, tuple(_table().values()))


def under(labs: ArrayLike, lit_by: Light) -> Array:
    """The colours as they are in that light.

    The eye is assumed to have got used to the light, so that white stays white.

    Parameters
    ----------
    labs : array_like, shape (..., 3)
        CIELAB, D65 / 2°.
    lit_by : Light

    Returns
    -------
    ndarray, shape (..., 3)
        Not clipped.

    Raises
    ------
    ColourInputError
        If the shape is wrong or a value is not finite.
    """
    return lab_through(labs, lit_by.matrix)


def seen_matrix(lit_by: Light, seen_by: Eyes) -> Array:
    """Light and eyes in one 3 x 3 matrix on linear sRGB, for `lab_through`."""
    matrix: Array = np.array(seen_by.matrix) @ np.array(lit_by.matrix)
    return matrix


def lamp_weights(kelvin: float, rendering: float) -> dict[str, float]:
    """How much each published light counts for a lamp of that kelvin and Ra; they sum to 1."""
    _, weights = _nearness(kelvin, rendering, tuple(_table().values()))
    return dict(zip(_table(), weights.tolist(), strict=True))


@lru_cache(maxsize=64)  # a brief asks for the same few lamps again and again
def _blend(kelvin: float, rendering: float, known: tuple[Light, ...]) -> Light:
    far, weights = _nearness(kelvin, rendering, known)
    matrices = np.array([one.matrix for one in known])
    matrix = np.tensordot(weights, matrices, axes=1)
    colours = _sampled()
    put = lab_through(colours, matrix)
    change = float((delta_e_2000(put, colours) ** 2).mean())
    apart = np.array([delta_e_2000(lab_through(colours, each), put) for each in matrices])
    spread = max(float((weights @ apart**2).mean()), LEAST_SPREAD**2)
    agreed = max(0.0, 1 - (spread + far.min()) / change) if change else 0.0
    matrix = np.eye(3) + agreed * (matrix - np.eye(3))
    doubt = float(weights @ [one.uncertainty for one in known])
    reach = SPREAD_REACH * np.sqrt(spread) + np.sqrt(far.min())
    return Light(
        key=f"{kelvin:g} K, Ra {rendering:g}",
        words=f"a lamp of {kelvin:g} K and Ra {rendering:g}",
        kelvin=float(kelvin),
        rendering=float(rendering),
        uncertainty=float(np.hypot(doubt, reach)),
        matrix=tuple(map(tuple, matrix.tolist())),
    )


def _nearness(kelvin: float, rendering: float, known: tuple[Light, ...]) -> tuple[Array, Array]:
    """How far off each light is, squared, in steps of nearness; and weights that sum to 1."""
    off = np.array(
        [
            (
                (1e6 / one.kelvin - 1e6 / kelvin) / NEAR_MIRED,
                (one.rendering - rendering) / NEAR_RENDERING,
            )
            for one in known
        ]
    )
    # The nearest always counts, however far off it is.
    far = (off**2).sum(axis=1)
    weights = np.exp(-(far - far.min()))
    return far, weights / weights.sum()


def _words(key: str, kelvin: float, rendering: float) -> str:
    if key == "A":
        return "filament lamp (CIE A)"
    if key == "D65":
        return DAYLIGHT.words
    if key.startswith("D"):
        return f"daylight of {kelvin:.0f} K"
    kind = next((words for start, words in _KINDS if key.startswith(start)), "filament")
    return f"{kind}, {kelvin:.0f} K, Ra {rendering:.0f}"


@cache
def _table() -> dict[str, Light]:
    """All lights by key; those that are no CIE illuminant are called by their kelvin."""
    text = files("brief.colour.viewing").joinpath("lights.json").read_text(encoding="utf-8")
    return {row["key"]: _read(row) for row in json.loads(text)["lights"]}


def _read(row: dict[str, Any]) -> Light:
    if row["key"] == DAYLIGHT.key:
        return DAYLIGHT
    return Light(
        key=row["key"],
        words=_words(row["key"], row["kelvin"], row["rendering"]),
        kelvin=float(row["kelvin"]),
        rendering=float(row["rendering"]),
        uncertainty=float(row["uncertainty"]),
        matrix=tuple(map(tuple, row["matrix"])),
    )


@cache
def _sampled() -> Array:
    """183 surfaces in daylight, Lab; see `brief.colour.viewing.light_surfaces`."""
    text = files("brief.colour.viewing").joinpath("lights.json").read_text(encoding="utf-8")
    return np.array(json.loads(text)["surfaces"])
