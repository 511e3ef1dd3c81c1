"""Frets that fan out: a longer scale at the bass than at the treble."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.errors import InputError, quoted


@dataclass(frozen=True)
class Fan:
    """Two scales side by side, and the fret that is square to the centre line between them.

    Lengths in millimetres, along the centre line; `bass_mm` and `treble_mm` are the scales under
    the outer strings. `square_fret` is 0 for the nut, and may be anywhere between frets.

    Raises
    ------
    InputError
        For a scale that is not above 0, a bass scale shorter than the treble's, and a square fret
        outside 0 to 36.
    """

    bass_mm: float
    treble_mm: float
    square_fret: float

    def __post_init__(self) -> None:
        for field in ("bass_mm", "treble_mm"):
            value = getattr(self, field)
            if not (math.isfinite(value) and value > 0):
                raise InputError.at(
                    field,
                    f"{field} must be a length above 0 mm; got {quoted(value)}. Give it in mm.",
                )
        if self.bass_mm < self.treble_mm:
            raise InputError.at(
                "bass_mm",
                f"the bass has the longer scale; got {self.bass_mm:g} mm at the bass and "
                f"{self.treble_mm:g} mm at the treble. Swap them.",
            )
        if not 0 <= self.square_fret <= 36:
            raise InputError.at(
                "square_fret",
                f"the square fret is 0 to 36; got {quoted(self.square_fret)}. 7 to 9 are usual.",
            )

    def fret_mm(self, fret: float) -> tuple[float, float]:
        """Where a fret is under the outer strings, (bass, treble), mm from the square fret.

        Towards the saddle is above 0. Each string is divided by its own scale, in twelve-tone
        equal temperament; 0 is the nut and infinity the saddle.
        """
        rests = 2 ** (-self.square_fret / 12) - 2 ** (-fret / 12)
        return self.bass_mm * rests, self.treble_mm * rests

    def edges_mm(
        self, fret: float, strings: tuple[float, float], edges: tuple[float, float]
    ) -> tuple[float, float]:
        """Where a straight fret meets lines beside the outer strings, such as the board's edges.

        Parameters
        ----------
        fret : float
        strings : (float, float)
            Places of the outer strings across the board at this fret, bass first, mm.
        edges : (float, float)
            Places of the two lines there, mm.

        Returns
        -------
        (float, float)
            mm along each line, from the square fret.

        Raises
        ------
        InputError
            If the strings are in one place.
        """
        bass, treble = self.fret_mm(fret)
        if strings[0] == strings[1]:
            raise InputError.at("strings", "the outer strings are in one place; spread them.")
        slope = (treble - bass) / (strings[1] - strings[0])
        near, far = (bass + slope * (edge - strings[0]) for edge in edges)
        return near, far
