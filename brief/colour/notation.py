"""Colours as people write them: hex codes, CSS, and the readings of a colour meter.

Inside the program a colour is CIELAB, D65 / 2°. This module alone reads and writes everything
else, and it alone uses colormath, which does the scalar conversions and white-point adaptation.
"""

from __future__ import annotations

import math
import re
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.spaces import as_one_colour, lab_to_srgb, lab_to_xyz, srgb_to_lab, xyz_to_srgb
from brief.errors import ColourInputError

with warnings.catch_warnings():
    # colormath 3.0 holds escapes that newer Pythons warn about when they first compile it.
    warnings.simplefilter("ignore")
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, LCHabColor, XYZColor

Lab = tuple[float, float, float]

OPPONENT_LIMIT = 200.0  # no surface and no screen comes near |a| or |b| of this
CHROMA_LIMIT = OPPONENT_LIMIT * math.sqrt(2)
LONGEST = 100  # characters
EXAMPLES = (
    "#b37a4c, Lab 56.1 17.3 33.9, LCh 56.1 38.1 63 or XYZ 26.9 24 10.1 (white at Y = 100), "
    "all under D65 unless D50 is said, or lab(56.5% 19.3 34.4) and lch(56.5% 39.4 60.7) as in CSS"
)
_HALF_STEP = 0.5 / 255  # a channel this far outside still rounds to a code on the scale

_NUMBER = r"[+-]?(?:(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?|nan|inf(?:inity)?)"
_GAP = r"(?:\s*[,;]\s*|\s+)"
_HEX = re.compile(r"#([0-9a-f]{3})|#?([0-9a-f]{6})")
_PART = rf"(none|{_NUMBER}%?)"
_CSS = {
    "lab": re.compile(rf"lab\(\s*{_PART}{_GAP}{_PART}{_GAP}{_PART}\s*\)"),
    "lch": re.compile(rf"lch\(\s*{_PART}{_GAP}{_PART}{_GAP}(none|{_NUMBER}(?:deg)?)\s*\)"),
}
_CSS_FULL = {"lab": (100.0, 125.0, 125.0), "lch": (100.0, 150.0, 360.0)}  # what 100% stands for
_HEAD = re.compile(r"(?:cie\s*)?(?:(lab|lch|xyz)\b)?\s*(?:\(?(d50|d65)\b\)?)?\s*[:=]?\s*(.*)")
_UNLABELLED = re.compile(rf"({_NUMBER}){_GAP}({_NUMBER}){_GAP}({_NUMBER})\s*(?:°|deg)?")
_LABELLED = {
    letters: re.compile(
        r"\s*[,;]?\s*".join(rf"{letter}\s*[:=]?\s*({_NUMBER})" for letter in letters)
        + r"\s*(?:°|deg)?"
    )
    for letters in ("lab", "lch", "xyz")
}
_RANGES = {
    "lab": (
        ("L", 0.0, 100.0),
        ("a", -OPPONENT_LIMIT, OPPONENT_LIMIT),
        ("b", -OPPONENT_LIMIT, OPPONENT_LIMIT),
    ),
    "lch": (("L", 0.0, 100.0), ("C", 0.0, CHROMA_LIMIT), ("h", -360.0, 360.0)),
    "xyz": (("X", 0.0, 200.0), ("Y", 0.0, 100.0), ("Z", 0.0, 200.0)),
}


@dataclass(frozen=True)
class Notation:
    """One colour written every way a maker may need it.

    lab, lch, xyz: readings under D65 / 2°, XYZ with white at Y = 100. hex: sRGB, clipped to what
    a screen can show. css: `lab()` of CSS Color 4, which is D50. in_srgb: whether the hex code is
    the colour itself and nothing was clipped.
    """

    lab: str
    lch: str
    xyz: str
    hex: str
    css: str
    in_srgb: bool


@lru_cache(maxsize=4096)
def parse_colour(text: str) -> Lab:
    """Read a colour as somebody wrote it.

    Parameters
    ----------
    text : str
        A hex code; `lab()` or `lch()` in the sense of CSS Color 4, so under D50 and adapted here
        (Bradford); or a meter's reading, as `Lab 50 10 20`, `L*=50 a*=10 b*=20`, `LCh 50 20 30`,
        `XYZ 26.9 24 10.1` (white at Y = 100), under D65 unless it says `Lab D50 ...`.

    Returns
    -------
    (L, a, b), CIELAB, D65 / 2°

    Raises
    ------
    ColourInputError
        If the text is none of these, or a number is not finite or lies outside its range.

    Examples
    --------
    >>> [round(value, 2) for value in parse_colour("#b37a4c")]
    [56.11, 17.26, 33.92]
    """
    text = text.strip()
    plain = text.casefold().replace("−", "-").replace("*", "")
    if len(text) <= LONGEST:
        if match := _HEX.fullmatch(plain):
            return _from_hex(match)
        for space, pattern in _CSS.items():
            if match := pattern.fullmatch(plain):
                fulls = _CSS_FULL[space]
                values = [_css_value(*pair) for pair in zip(match.groups(), fulls, strict=True)]
                return _to_d65(space, "d50", values, text)
        if reading := _reading(plain):
            return _to_d65(*reading, text)
    shown = text if len(text) <= 40 else f"{text[:40]}…"
    raise ColourInputError(f"{shown!r} is not a colour that can be read here; write {EXAMPLES}")


def notations(lab: ArrayLike) -> Notation:
    """Write one colour every way a maker may need it.

    `parse_colour` reads back what is written of any colour within sRGB.

    Parameters: lab, shape (3,), CIELAB, D65 / 2°.
    Raises ColourInputError if it is not three finite numbers.
    """
    return _notations(*as_one_colour(lab, "Lab").tolist())


def hex_of(lab: ArrayLike) -> str:
    """The hex code of one colour of shape (3,), clipped to what a screen can show.

    Raises ColourInputError if it is not three finite numbers.
    """
    red, green, blue = np.rint(lab_to_srgb(as_one_colour(lab, "Lab")) * 255).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


@lru_cache(maxsize=4096)
def _notations(L: float, a: float, b: float) -> Notation:
    lab = (L, a, b)
    colour = LabColor(*lab, observer="2", illuminant="d65")
    meter = convert_color(colour, XYZColor)
    _, chroma, hue_deg = convert_color(colour, LCHabColor).get_value_tuple()
    hue_deg = round(hue_deg) % 360 if round(chroma, 1) else 0
    xyz = [100 * value for value in meter.get_value_tuple()]
    meter.apply_adaptation("d50")  # in place
    lightness_d50, *opponents_d50 = convert_color(meter, LabColor).get_value_tuple()
    srgb = xyz_to_srgb(lab_to_xyz(lab))
    return Notation(
        lab="Lab " + _decimals(lab, 1),
        lch=f"LCh {_decimals([L, chroma], 1)} {hue_deg}°",
        xyz="XYZ " + _decimals(xyz, 2),
        hex=hex_of(lab),
        css=f"lab({_decimals([lightness_d50], 2)}% {_decimals(opponents_d50, 2)})",
        in_srgb=bool((srgb >= -_HALF_STEP).all() and (srgb <= 1 + _HALF_STEP).all()),
    )


def _decimals(values: Sequence[float], places: int) -> str:
    # Adding 0 turns -0 into 0.
    return " ".join(f"{round(value, places) + 0.0:.{places}f}" for value in values)


def _from_hex(match: re.Match[str]) -> Lab:
    short, full = match.groups()
    digits = full or "".join(2 * digit for digit in short)
    L, a, b = srgb_to_lab([int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]).tolist()
    return L, a, b


def _css_value(token: str, full: float) -> float:
    if token == "none":
        return 0.0
    if token.endswith("%"):
        return float(token[:-1]) / 100 * full
    return float(token.removesuffix("deg"))


def _reading(plain: str) -> tuple[str, str, list[float]] | None:
    """Space, white and numbers of a meter's reading; None if it is not one."""
    head = _HEAD.fullmatch(plain)
    if head is None:
        return None
    named, white, rest = head.groups()
    for space in [named] if named else _LABELLED:
        match = _LABELLED[space].fullmatch(rest) or (named and _UNLABELLED.fullmatch(rest))
        if match:
            return space, white or "d65", [float(number) for number in match.groups()]
    return None


def _to_d65(space: str, white: str, values: list[float], text: str) -> Lab:
    """Check the numbers, then let colormath bring them to CIELAB under D65."""
    for (name, low, high), value in zip(_RANGES[space], values, strict=True):
        if not low <= value <= high:  # NaN fails, too
            raise ColourInputError(
                f"{text!r}: {name} must lie between {low:.0f} and {high:.0f}; got {value:g}"
            )
    if space == "lab" and white == "d65":
        L, a, b = values
        return L, a, b
    if space == "lab":
        colour = LabColor(*values, observer="2", illuminant=white)
    elif space == "lch":
        colour = LCHabColor(*values, observer="2", illuminant=white)
    else:
        colour = XYZColor(*(v / 100 for v in values), observer="2", illuminant=white)
    if white != "d65":
        colour = convert_color(colour, XYZColor)
        colour.apply_adaptation("d65")  # in place, Bradford
    L, a, b = convert_color(colour, LabColor).get_value_tuple()
    if max(abs(a), abs(b)) > OPPONENT_LIMIT:
        raise ColourInputError(
            f"{text!r} is stronger than any colour: a {a:.0f}, b {b:.0f}; "
            f"both must lie between -{OPPONENT_LIMIT:.0f} and {OPPONENT_LIMIT:.0f}"
        )
    return min(max(L, 0.0), 100.0), a, b  # adaptation leaves white and black a rounding beyond
