"""Numbers as people type them, read exactly: 650, 0,65, 1 250,5, 1.250,00, 22 1/2, 25½.

One grammar for pages, API and command line. Digits of any script, the decimal comma, fractions of
one letter, no-break spaces and typographic minus signs are read as what they mean; an expression
is never worked out. A mark between figures that could part thousands as well as decimals is
asked about and not guessed at: a guess may be wrong by a factor of 1000.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from fractions import Fraction

from brief.errors import InputError, quoted

LONGEST = 40  # characters

# Groups of three figures are parted by spaces, commas or points (ISO 80000-1 has spaces alone);
# the decimal mark is then another one. A fraction's part that is no proper one ("251/2") is a
# missing space and no number.
_DECIMAL = (
    r"[1-9]\d{0,2}(?: \d{3})+(?:[.,]\d+)?|[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?"
    r"|[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?|\d+(?:[.,]\d*)?|[.,]\d+"
)
_FRACTION = r"(?:\d+(?: ?- ?| ))?\d+ ?/ ?\d+"
AMOUNT = rf"(?:{_FRACTION}|{_DECIMAL})"
"""A number without its sign, for a larger expression; `amount` gives its value."""
_MIXED = re.compile(r"(?:(\d+)(?: ?- ?| ))?(\d+) ?/ ?(\d+)")
# Nobody ends decimals in a nought without a reason, least of all this program; after a comma
# they may be anything.
_EITHER = re.compile(r"[1-9]\d{0,2}(?:(,)\d{3}|\.\d\d0)")

_SMALL = re.compile(r"([⁰¹²³⁴-⁹]+)[⁄/]([₀-₉]+)")
_SIGNS = str.maketrans(
    {
        **dict.fromkeys("−‐‑‒–﹣", "-"),
        **dict.fromkeys("′’‘ʹʼ´`‵‛", "'"),
        **dict.fromkeys("″”“„‟‶〃˝", '"'),
        **{"⁄": "/", "∕": "/", "٫": ".", "٬": ",", "º": "°", "˚": "°"},
    }
)


def plain(text: str) -> str:
    """The text in small ASCII signs where they mean the same, with single spaces.

    >>> plain("25½″"), plain("６５０\\u00a0ＭＭ"), plain("−0٫5")
    ('25 1/2"', '650 mm', '-0.5')
    """
    text = _SMALL.sub(lambda match: " " + unicodedata.normalize("NFKC", match[0]), text)
    letters = "".join(map(_letter, text.translate(_SIGNS))).translate(_SIGNS)
    return " ".join(letters.casefold().replace("''", '"').split())


def _letter(letter: str) -> str:
    if letter in "⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉":  # of a small fraction, or of a unit: m³
        return letter
    match unicodedata.category(letter):
        case "Cf":  # marks no paper: joiners, marks of direction, the soft hyphen
            return ""
        case "Nd":
            return str(unicodedata.decimal(letter))
        case "No":
            simple = unicodedata.normalize("NFKC", letter)
            return f" {simple}" if "⁄" in simple else letter
        case _:
            return unicodedata.normalize("NFKC", letter)


def amount(typed: str, unit: str = "", *, point_is_decimal: bool = False) -> Fraction:
    """The value of what `AMOUNT` fits, exactly.

    unit : as it was typed, for the question. point_is_decimal : whether thousands of that unit
    are out of the question.
    Raises InputError for a fraction of nothing or one that is not below 1, and where the mark
    could part thousands as well as decimals.
    """
    if match := _MIXED.fullmatch(typed):
        whole, above, below = (int(part or 0) for part in match.groups())
        if not 0 < above < below:
            raise InputError(f"{quoted(f'{above}/{below}')} is no fraction below 1. Write 25 1/2.")
        return whole + Fraction(above, below)
    either = _EITHER.fullmatch(typed)
    if either and (either[1] or not point_is_decimal):
        behind = f" {unit}" if unit[:1].isalpha() else unit
        together = re.sub("[.,]", "", typed)
        parted = typed.replace(",", ".").rstrip("0").rstrip(".")
        raise InputError(
            f"Does the {'comma' if either[1] else 'point'} in {quoted(typed)} part thousands or "
            f"decimals? Write {together}{behind} or {parted}{behind}."
        )
    figures = typed.replace(" ", "")
    marks = re.sub(r"\d", "", figures)
    if (len(marks) > 1 and len(set(marks)) == 1) or len(marks) > 1:  # 1,250,000
        figures = figures.replace(marks[0], "")
    return Fraction(figures.replace(",", "."))


def read_number(text: str, units: Iterable[str] = (), example: str = "12.5") -> Fraction:
    """The number that a text says, exactly.

    units : what may stand with it, before or behind: ("k",), ("kg/m³", "kg/m3"); small letters.
    Raises InputError, with `example` as the way out, for any other text.

    >>> read_number("2900 K", ["k"]), read_number("−22½°", ["°"])
    (Fraction(2900, 1), Fraction(-45, 2))
    """
    said = "|".join(re.escape(unit) for unit in sorted(units, key=len, reverse=True)) or "(?!)"
    match = (
        re.fullmatch(rf"(?:({said}) ?)?([+-]?) ?({AMOUNT}) ?({said})?", plain(text))
        if len(text) <= LONGEST
        else None
    )
    if match is None or (match[1] and match[4]):
        raise InputError(f"{quoted(text)} is no number. Write {example}.")
    value = amount(match[3], match[4] or "")
    return -value if match[2] == "-" else value
