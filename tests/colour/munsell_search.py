"""What colour-science's search finds for colours between the listed ones: slow, so kept.

`python -m tests.colour.munsell_search` writes it again, after an upgrade of colour-science.
"""

from __future__ import annotations

import csv
import warnings
from pathlib import Path

import numpy as np

from brief.colour import lab_to_xyz, lch_to_lab, srgb_to_lab
from brief.colour.notation.adaptation import lab_under, white_point
from brief.colour.reference_library import colour_science

KEPT = Path(__file__).parents[1] / "published" / "munsell_by_search.csv"


def searched() -> list[tuple[float, float, float, str]]:
    """Timber browns and whatever a screen shows, as CIELAB, each with what the search found:
    nothing where it fails."""
    rng = np.random.default_rng(1943)
    browns = rng.uniform([15, 4, 30], [90, 50, 100], (30, 3))
    rows = []
    for lab in np.round([*lch_to_lab(browns), *srgb_to_lab(rng.uniform(0, 1, (15, 3)))], 6):
        X, Y, Z = lab_to_xyz(lab_under(lab, "c", 2), white_point("c", 2))
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                found = colour_science().xyY_to_munsell_colour(
                    [X / (X + Y + Z), Y / (X + Y + Z), Y]
                )
        except (RuntimeError, ValueError, AssertionError):
            found = ""
        rows.append((*map(float, lab), found))
    return rows


def kept() -> list[tuple[float, float, float, str]]:
    """The rows of the file."""
    with KEPT.open(encoding="utf-8", newline="") as lines:
        return [(float(L), float(a), float(b), found) for L, a, b, found in csv.reader(lines)]


if __name__ == "__main__":
    with KEPT.open("w", encoding="utf-8", newline="") as target:
        csv.writer(target, lineterminator="\n").writerows(searched())
