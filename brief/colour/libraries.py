"""colormath, imported without its warnings.

It holds escapes that newer Pythons warn about when they first compile it. It brings networkx, a
tenth of the program's start, so that this module is imported inside the functions that convert
single colours, when they are first called.
"""

from __future__ import annotations

from brief.quiet import quiet

with quiet:
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
    "convert_color",
]
