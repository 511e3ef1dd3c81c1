"""Numbers, lengths and names as an SVG file writes them."""

from __future__ import annotations

import re

from brief.errors import InputError

MM_PER_PX = 25.4 / 96  # CSS Values and Units 4, 6.2
UNITS_PX = {"": 1.0, "px": 1.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96.0, "pt": 4 / 3, "pc": 16}
NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"({NUMBER})\s*(%|[a-z]*)")


def length(text: str, of: float) -> float:
    """A length in user units; a percentage of `of`.

    Raises
    ------
    InputError
        For what is no length.
    """
    match = _LENGTH.fullmatch(text.strip())
    unit = match[2] if match else "?"
    if match and unit == "%":
        return float(match[1]) / 100 * of
    if match is None or unit not in UNITS_PX:
        raise InputError(f"The length “{short(text)}” cannot be read. Draw in mm or in pixels.")
    return float(match[1]) * UNITS_PX[unit]


def plain_number(text: str) -> float:
    """The number of a length, whatever its unit; 0 for what is none."""
    match = _LENGTH.fullmatch(text.strip())
    return float(match[1]) if match else 0.0


def short(text: str) -> str:
    """What a stranger wrote, fit for one line of a message."""
    line = " ".join(text.split())
    return line if len(line) <= 40 else line[:39] + "…"
