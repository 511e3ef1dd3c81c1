"""What a CGATS.17 table declares of its colours: light, observer, bands and how they are written.

Common practice without a source, but for WEIGHTING_FUNCTION and the SPECTRAL names of CGATS.17:
ILLUMINATION_NAME, OBSERVER_ANGLE, MEASUREMENT_SOURCE "Illumination=D50 ObserverAngle=2_degree",
SPECTRAL_NORM, and bands named SPECTRAL_NM400, SPECTRAL_400, SPEC_400, NM_400, R_400 or, saying
how they are written, SPECTRAL_PCT400 (in percent) or SPECTRAL_DEC400 (1 = all light comes back).
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from brief.colour.notation.cgats_table import SampleTable, at_line
from brief.colour.notation.spectrum import HIGHEST
from brief.errors import ColourInputError, quoted

_BAND = re.compile(r"(?:SPECTRAL|SPEC|NM|R)_?(?:NM|(PCT)|(DEC))?_?(\d{3,4})(?:NM)?")
_CONDITIONS = (
    "ILLUMINANT",
    "ILLUMINATION_NAME",
    "MEASUREMENT_SOURCE",
    "OBSERVER",
    "OBSERVER_ANGLE",
    "WEIGHTING_FUNCTION",
)
_LIGHT = re.compile(r"\bILLUMINA(?:NT|TION|TION_NAME)\s*[=,]\s*([^\s,;]+)")
_OBSERVER = re.compile(r"\bOBSERVER(?: ?ANGLE)?\s*[=,]\s*(?:CIE\s*)?(1931|1964|10|2)(?!\d)")
_DEGREES = {"1931": "2", "1964": "10"}


class ReflectanceColumn(NamedTuple):
    """A column of reflectances; `full` is how its name says that full reflectance is written."""

    nm: float
    name: str
    full: float | None


def conditions(table: SampleTable) -> tuple[str | None, str | None]:
    """The light ("d50") and the observer ("2") of its Lab and XYZ, None where it says nothing.

    Raises
    ------
    ColourInputError
        If it declares two lights or two observers.
    """
    said = [f"{key}={value}".upper() for key, value in table.keywords if key in _CONDITIONS]
    lights = {
        match[1].lower().replace("fl", "f") for text in said for match in _LIGHT.finditer(text)
    }
    degrees = {match[1] for text in said for match in _OBSERVER.finditer(text.replace("_", " "))}
    observers = {_DEGREES.get(number, number) for number in degrees}
    for what, found in (("lights", lights), ("observers", observers)):
        if len(found) > 1:
            raise ColourInputError(
                f"the file declares two {what}, {' and '.join(sorted(map(str.upper, found)))}; "
                "it takes one, so save each in its own file"
            )
    return next(iter(lights), None), next(iter(observers), None)


def bands(table: SampleTable) -> tuple[ReflectanceColumn, ...]:
    """The columns of reflectances, in the order of their wavelengths."""
    matches = [(name, _BAND.fullmatch(name)) for name in table.fields]
    found = [
        ReflectanceColumn(float(match[3]), name, 100.0 if match[1] else 1.0 if match[2] else None)
        for name, match in matches
        if match
    ]
    return tuple(sorted(found, key=lambda band: band.nm))


def declared_full(table: SampleTable) -> float | None:
    """The number that SPECTRAL_NORM gives for full reflectance, None without it.

    Raises
    ------
    ColourInputError
        If it is not a number above 0.
    """
    said = [value for key, value in table.keywords if key == "SPECTRAL_NORM"]
    if not said:
        return None
    try:
        full = float(said[-1])
    except ValueError:
        full = math.nan
    if not 0 < full < math.inf:
        raise ColourInputError(f"SPECTRAL_NORM must be a number above 0; got {quoted(said[-1])}")
    return full


def refuse_percent(table: SampleTable) -> None:
    """Refuse a reflectance beyond 1.5 where the file does not state the scale.

    Raises
    ------
    ColourInputError
        With the line and the column.
    """
    names = [band.name for band in bands(table) if band.full is None]
    for row in table.rows:
        for name in names:
            if not row.gap([name]) and (value := row.value(name)) > HIGHEST:
                raise at_line(
                    row.number,
                    f"{name} is {value:g}, and the file does not say whether full reflectance "
                    "counts 1 or 100; say which when reading it in",
                )


def refuse_xyz_below_1(table: SampleTable) -> None:
    """Refuse XYZ that seem to count white as 1.

    Raises
    ------
    ColourInputError
        If no XYZ_Y of the table is above 1.5.
    """
    known = (row for row in table.rows if not row.gap(["XYZ_Y"]))
    highest = max((row.value("XYZ_Y") for row in known), default=math.inf)
    if highest <= HIGHEST:
        raise ColourInputError(
            f"XYZ_Y must count white as 100, and nothing in the table is above {highest:g}; "
            "multiply XYZ by 100 if white counts 1"
        )
