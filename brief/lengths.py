"""Lengths as people type them, read exactly: 650 mm, 65 cm, 0,65 m, 25 1/2 in, 6' 2 1/2".

Own grammar: of the libraries for units that were tried, each read some such text silently as
another length ("25 1/2 in" as 317.5 mm).
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from brief.errors import InputError, quoted
from brief.numerals import AMOUNT, LONGEST, amount, plain

Unit = Literal["mm", "cm", "m", "in", "ft", "thou"]
INCH_MM = Fraction(254, 10)  # exactly, since 1959 (NIST SP 811, B.6)
IN_MM: dict[Unit, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": INCH_MM,
    "ft": 12 * INCH_MM,
    "thou": INCH_MM / 1000,
}
_NAMES: dict[str, Unit] = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("in", "inch", "inches", "of an inch", '"'), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "ft"),
    "thou": "thou",
}


def _named(*units: Unit) -> str:
    names = [name for name, unit in _NAMES.items() if unit in units]
    return "(?:" + "|".join(re.escape(one) for one in sorted(names, key=len, reverse=True)) + ")"


_ONE = re.compile(rf"([+-]?) ?({AMOUNT}) ?({_named(*IN_MM)})?\.?")
_FEET = re.compile(
    rf"([+-]?) ?(\d+) ?{_named('ft')}\.?(?: ?- ?| ?)({AMOUNT}) ?(?:{_named('in')}\.?)?"
)

# Swiss thousands, or feet and inches without their mark.
_APOSTROPHE = re.compile(r"[+-]? ?(\d{1,3})'(\d{3}) ?(in|inch|inches)?\.?")


def read_length(text: str, unit: Unit = "mm") -> Fraction:
    """The length that a text says, in `unit`, which is also meant where the text names none.

    Raises InputError for any other text, for a fraction without a unit (inches are meant, as a
    rule, but then by a factor of 25.4), and for a comma or an apostrophe that may part thousands.

    >>> read_length("25 1/2 in"), read_length("10 ft", "m"), read_length("0,65 m")
    (Fraction(6477, 10), Fraction(381, 125), Fraction(650, 1))
    """
    value, named = _read(text)
    return value * IN_MM[named or unit] / IN_MM[unit]


def unit_of(text: str) -> Unit | None:
    """The unit that the text of a length names; that of its feet, if it has feet and inches."""
    return _read(text)[1]


def write_length(value: float) -> str:
    """A length of this many of its field's unit, as `read_length` reads it again.

    >>> write_length(650.0), write_length(3.175), write_length(0.00005)
    ('650', '3.175', '0.00005')
    """
    return format(Decimal(repr(float(value))), "f").removesuffix(".0")


@lru_cache(maxsize=4096)
def _read(text: str) -> tuple[Fraction, Unit | None]:
    """The number, and the unit that it is of if the text names one."""
    typed = plain(text) if len(text) <= LONGEST else ""
    if match := _APOSTROPHE.fullmatch(typed):
        together = match[1] + match[2] + (f" {match[3]}" if match[3] else "")
        parted = f" or {match[1]} ft {int(match[2])} in" if int(match[2]) < 12 else ""
        raise InputError(
            f"Does the mark in {quoted(text)} part thousands or end the feet? "
            f"Write {together}{parted}."
        )
    if match := _FEET.fullmatch(typed):
        feet, inches = int(match[2]), amount(match[3], "in", point_is_decimal=True)
        if inches < 12:
            value = feet + inches / 12
            return (-value if match[1] == "-" else value), "ft"
    elif match := _ONE.fullmatch(typed):
        unit = _NAMES[match[3]] if match[3] else None
        if unit is None and "/" in match[2]:
            raise InputError(f"{quoted(text)} is a fraction without a unit. Write {match[2]} in.")
        value = amount(match[2], match[3] or "", point_is_decimal=unit not in (None, "mm"))
        return (-value if match[1] == "-" else value), unit
    raise InputError(f"{quoted(text)} is not a length. Try 650 mm, 65 cm or 25 1/2 in.")
