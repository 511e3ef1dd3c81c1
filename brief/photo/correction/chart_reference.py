"""The published colours of a 24-patch colour chart, 6 patches across and 4 down."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np

from brief.colour import lab_to_xyz
from brief.colour.notation.adaptation import reading_to_lab
from brief.colour.spaces import Array
from brief.errors import InputError, quoted

ChartAge = Literal["after-2014", "before-2014"]

COLUMNS, ROWS = 6, 4
PATCHES = COLUMNS * ROWS
PATCH_SIZE = 0.88  # of the pitch from one to the next, about as all makers have it

# Column and row of each patch; the same from −1/2 to 1/2 across the chart, along which light may
# slope; and the outer corners of the corner patches, clockwise from that of the first.
PLACES = np.array([(column, row) for row in range(ROWS) for column in range(COLUMNS)], dtype=float)
SLOPE = (PLACES - PLACES.mean(axis=0)) / np.ptp(PLACES, axis=0)
OUTLINE = PLACES[[0, COLUMNS - 1, -1, -COLUMNS]] + PATCH_SIZE / 2 * np.array(
    [(-1, -1), (1, -1), (1, 1), (-1, 1)]
)

# Patches were reformulated in November 2014; the two sets lie 0.8 CIEDE2000 apart on average.
AGES: dict[str, str] = {"after-2014": "after", "before-2014": "before"}
AGE_WORDS = {
    "after-2014": "from November 2014 or later",
    "before-2014": "from before November 2014",
}


@cache
def patch_names() -> tuple[str, ...]:
    """The names of the patches, left to right and top to bottom, dark skin first."""
    return tuple(row["patch"] for row in _table())


@cache
def reference_xyz(age: str) -> Array:
    """XYZ of the patches, D65 / 2°, adapted from D50 by Bradford.

    Parameters
    ----------
    age : "after-2014" or "before-2014"
        When the chart was made.

    Returns
    -------
    ndarray, shape (24, 3)
        With Y of white = 1; not to be written to.

    Raises
    ------
    InputError
        For any other age.
    """
    if age not in AGES:
        raise InputError.at(
            "age", f"the chart's age must be one of {', '.join(AGES)}; got {quoted(age)}"
        )
    column = AGES[age]
    d65 = [
        reading_to_lab([float(row[f"{column}_{axis}"]) for axis in "Lab"], "lab", "d50", "2").lab
        for row in _table()
    ]
    xyz = lab_to_xyz(np.array(d65))
    xyz.setflags(write=False)  # every caller gets the same array
    return xyz


@cache
def _table() -> list[dict[str, str]]:
    text = files("brief.photo.correction").joinpath("chart24.csv").read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
