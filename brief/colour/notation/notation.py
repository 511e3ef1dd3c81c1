"""Colours as people write them: hex codes, CSS, and the readings of a colour meter.

Inside the program a colour is CIELAB, D65 / 2°. This module reads and writes everything else that
can be typed. Single colours are converted by colormath.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from brief.colour.notation.adaptation import Lab, MeterReading, reading_to_lab
from brief.colour.spaces import as_one_colour, lab_to_srgb, lab_to_xyz, srgb_to_lab, xyz_to_srgb
from brief.errors import ColourInputError, quoted

LONGEST = 100  # characters
_HALF_STEP = 0.5 / 255  # a channel this far outside still rounds to a code on the scale

_NUMBER = r"[+-]?(?:(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?|nan|inf(?:inity)?)"
_DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
_GAP = r"(?:\s*[,;]\s*|\s+)"
_HEX = re.compile(r"#([0-9a-f]{3})|#?([0-9a-f]{6})")
_PART = rf"(none|{_NUMBER}%?)"
_CSS = {
    "lab": re.compile(rf"lab\(\s*{_PART}{_GAP}{_PART}{_GAP}{_PART}\s*\)"),
    "lch": re.compile(rf"lch\(\s*{_PART}{_GAP}{_PART}{_GAP}(none|{_NUMBER}(?:deg)?)\s*\)"),
}
_CSS_FULL = {"lab": (100.0, 125.0, 125.0), "lch": (100.0, 150.0, 360.0)}  # what 100% stands for
# Only D50 and D65 may stand without an observer, which then is 2°.
_LIGHT = (
    r"\(?(?:(a|c|d50|d55|d65|d75|f2|f7|f11)\s*/\s*(2|10)(?![\d.])\s*(?:°|deg)?|(d50|d65)\b)\s*\)?"
)
_HEAD = re.compile(rf"(?:cie\s*)?(?:(lab|lch|xyz)\b)?\s*(?:{_LIGHT})?\s*[:=]?\s*(.*)")
_TAIL = re.compile(rf"(.*?)[\s,;]+{_LIGHT}")
_UNLABELLED = re.compile(rf"({_NUMBER}){_GAP}({_NUMBER}){_GAP}({_NUMBER})\s*(?:°|deg)?")
_LABELLED = {
    letters: re.compile(
        r"\s*[,;]?\s*".join(rf"{letter}\s*[:=]?\s*({_NUMBER})" for letter in letters)
        + r"\s*(?:°|deg)?"
    )
    for letters in ("lab", "lch", "xyz")
}


@dataclass(frozen=True)
class Notation:
    """One colour written every way a maker may need it.

    Attributes
    ----------
    lab, lch, xyz : str
        Readings under D65 / 2°, XYZ with white at Y = 100.
    hex : str
        sRGB, clipped to what a screen can show.
    css : str
        `lab()` of CSS Color 4, which is D50.
    in_srgb : bool
        Whether the hex code is the colour itself and nothing was clipped.
    """

    lab: str
    lch: str
    xyz: str
    hex: str
    css: str
    in_srgb: bool


@lru_cache(maxsize=4096)
def parse_reading(text: str) -> MeterReading:
    """Read a colour as somebody wrote it, and say what reading it that way leaves uncertain.

    Parameters
    ----------
    text : str
        A hex code; `lab()` or `lch()` in the sense of CSS Color 4, so under D50 and adapted here
        (Bradford); or a meter's reading, as `Lab 50 10 20`, `L*=50 a*=10 b*=20`, `LCh 50 20 30`,
        `XYZ 26.9 24 10.1` (white at Y = 100), under D65 / 2° unless it says `Lab D50 ...` or ends
        in the meter's light and observer, `Lab 38.2 9.1 15.4 D50/10`. Between numbers that are
        parted by spaces or semicolons a comma may mark decimals.

    Returns
    -------
    MeterReading
        Its uncertainty is 0 for hex codes, CSS and everything under D65 / 2°.

    Raises
    ------
    ColourInputError
        If the text is none of these, or a number is not finite or outside its range.

    Examples
    --------
    >>> parse_reading("Lab 38.2 9.1 15.4 D50/10").uncertainty
    3.9
    """
    text = text.strip()
    plain = _plain(text)
    if len(text) <= LONGEST:
        if match := _HEX.fullmatch(plain):
            return MeterReading(_from_hex(match))
        for space, pattern in _CSS.items():
            if match := pattern.fullmatch(plain):
                fulls = _CSS_FULL[space]
                values = [_css_value(*pair) for pair in zip(match.groups(), fulls, strict=True)]
                # CSS fixes the adaptation too, so that nothing is uncertain about it.
                return MeterReading(_adapted(text, values, space, "d50", "2").lab)
        # As separators first: a comma in "Lab 50,10,20" is none of decimals.
        if parts := _reading(plain) or _reading(_DECIMAL_COMMA.sub(".", plain)):
            return _adapted(text, *parts)
    raise ColourInputError(
        f"{quoted(text)} is not a colour this can read. Try #b37a4c or Lab 56.1 17.3 33.9."
    )


def is_of_screen(text: str) -> bool:
    """Whether a colour is written as on a screen: a hex code, or as in CSS.

    Examples
    --------
    >>> [is_of_screen(text) for text in ("#b37a4c", "lab(56% 17 34)", "Lab 56 17 34")]
    [True, True, False]
    """
    plain = _plain(text)
    return bool(_HEX.fullmatch(plain)) or any(form.fullmatch(plain) for form in _CSS.values())


def parse_colour(text: str) -> Lab:
    """The (L, a, b), CIELAB, D65 / 2°, of what `parse_reading` reads; errors as there.

    Examples
    --------
    >>> [round(value, 2) for value in parse_colour("#b37a4c")]
    [56.11, 17.26, 33.92]
    """
    return parse_reading(text).lab


def notations(lab: ArrayLike) -> Notation:
    """Write one colour every way a maker may need it.

    Parameters
    ----------
    lab : array_like, shape (3,)
        CIELAB, D65 / 2°.

    Returns
    -------
    Notation
        `parse_colour` reads back what is written of any colour within sRGB.

    Raises
    ------
    ColourInputError
        If it is not three finite numbers.
    """
    return _notations(*as_one_colour(lab, "Lab").tolist())


def hex_of(lab: ArrayLike) -> str:
    """The hex code of one colour, clipped to what a screen can show.

    Parameters
    ----------
    lab : array_like, shape (3,)
        CIELAB, D65 / 2°.

    Returns
    -------
    str
        "#" and six small hexadecimal digits.

    Raises
    ------
    ColourInputError
        If it is not three finite numbers.
    """
    red, green, blue = np.rint(lab_to_srgb(as_one_colour(lab, "Lab")) * 255).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


@lru_cache(maxsize=4096)
def _notations(L: float, a: float, b: float) -> Notation:
    from brief.colour.libraries import LabColor, LCHabColor, XYZColor, convert_color

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


def _plain(text: str) -> str:
    return text.strip().casefold().replace("−", "-").replace("*", "")


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


def _reading(plain: str) -> tuple[list[float], str, str, str] | None:
    """Numbers, space, light and observer of a meter's reading; None if it is not one."""
    head = _HEAD.fullmatch(plain)
    if head is None:
        return None
    named, *before, rest = head.groups()
    after: Sequence[str | None] = [None, None, None]
    if tail := _TAIL.fullmatch(rest):
        rest, *after = tail.groups()
    if any(before) and any(after):
        return None
    light, observer, bare = before if any(before) else after
    for space in [named] if named else _LABELLED:
        match = _LABELLED[space].fullmatch(rest) or (named and _UNLABELLED.fullmatch(rest))
        if match:
            numbers = [float(number) for number in match.groups()]
            return numbers, space, light or bare or "d65", observer or "2"
    return None


def _adapted(
    text: str, numbers: list[float], space: str, light: str, observer: str
) -> MeterReading:
    try:
        return reading_to_lab(numbers, space, light, observer)
    except ColourInputError as exc:
        raise ColourInputError(f"{quoted(text)}: {exc}") from exc
