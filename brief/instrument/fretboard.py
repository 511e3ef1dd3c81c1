"""The fretboard: where the frets lie and how wide the board is."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.errors import InputError


@dataclass(frozen=True)
class Fretboard:
    """A board with straight edges, fretted in twelve-tone equal temperament.

    Lengths in millimetres, measured from the nut along the centre line. `twelfth_mm` is the
    width at the 12th fret. Raises InputError for a length that is not finite and above 0 and for
    a fret count outside 12 to 36.
    """

    scale_mm: float
    frets: int
    nut_mm: float
    twelfth_mm: float

    def __post_init__(self) -> None:
        for field in ("scale_mm", "nut_mm", "twelfth_mm"):
            value = getattr(self, field)
            if not (math.isfinite(value) and value > 0):
                raise InputError.at(
                    field, f"{field} must be a length above 0 mm; got {value!r}. Give it in mm."
                )
        if not 12 <= self.frets <= 36:
            raise InputError.at(
                "frets", f"a fretboard has 12 to 36 frets; got {self.frets!r}. Count them again."
            )

    def fret_mm(self, fret: int) -> float:
        """Distance from the nut to a fret: L (1 - 2^(-n/12)), twelve-tone equal temperament."""
        if not 0 <= fret <= self.frets:
            raise InputError.at(
                "fret",
                f"this board has frets 0 (the nut) to {self.frets}; got {fret!r}. "
                "Ask for one of them.",
            )
        return self.scale_mm * (1 - 2 ** (-fret / 12))

    def width_mm(self, distance_mm: float) -> float:
        """Width at a distance from the nut; straight edges make it linear (common practice)."""
        return self.nut_mm + (self.twelfth_mm - self.nut_mm) * distance_mm / (self.scale_mm / 2)
