"""colormath and colour-science, imported without what their import does to the rest.

colormath holds escapes that newer Pythons warn about when they first compile it. colour-science
warns where Matplotlib is missing and sets NumPy's print options back to those of 1.13; it takes
about a second to load, so that it is fetched by a call, and only where nothing else will do.
"""

from __future__ import annotations

import importlib
import warnings
from functools import cache
from typing import Any

import numpy as np

from brief.quiet import quiet

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from colormath.chromatic_adaptation import apply_chromatic_adaptation
    from colormath.color_constants import ILLUMINANTS
    from colormath.color_conversions import convert_color
    from colormath.color_objects import LabColor, LCHabColor, SpectralColor, XYZColor

__all__ = [
    "ILLUMINANTS",
    "LCHabColor",
    "LabColor",
    "SpectralColor",
    "XYZColor",
    "apply_chromatic_adaptation",
    "colour_science",
    "convert_color",
]


@cache
def colour_science() -> Any:
    """The module `colour` of colour-science."""
    with quiet, np.printoptions():
        return importlib.import_module("colour")
