"""The fretboard: where the frets lie, how wide the board is there, and how it is rounded."""

from __future__ import annotations

import math
from dataclasses import dataclass

from brief.errors import InputError, quoted

RULE_17_817 = 17.817
"""What a workshop rule divides the rest of the string by for the next fret (M. Koch, Building
Electric Guitars); equal temperament has 1 / (1 - 2^(-1/12)) = 17.817154."""
RULE_18 = 18.0
"""The older divisor (V. Galilei, 16th century), which puts every fret too near the nut."""


@dataclass(frozen=True)
class FretRow:
    """The measures of one fret; lengths in millimetres.

    Attributes
    ----------
    nut_mm, previous_mm
        From the nut, and from the fret before it.
    width_mm
        Of the board, which is the length of its slot.
    wire_mm
        Along the rounded top.
    radius_mm
        0 where flat.
    """

    fret: int
    nut_mm: float
    previous_mm: float
    width_mm: float
    wire_mm: float
    radius_mm: float


@dataclass(frozen=True)
class Fretboard:
    """A board with straight edges, fretted in twelve-tone equal temperament.

    Lengths in millimetres, measured from the nut along the centre line. `twelfth_mm` is the
    width at the 12th fret; the board ends `beyond_mm` past its last fret. Its top is rounded to
    `radius_mm` at the nut and `radius_end_mm` at its end; both 0 means flat.

    Raises
    ------
    InputError
        For a length that is not finite and above 0, for a fret count outside 12 to 36, for a radius
        at one end alone, and for one that is less than half the width there.
    """

    scale_mm: float
    frets: int
    nut_mm: float
    twelfth_mm: float
    beyond_mm: float = 5.0
    radius_mm: float = 0.0
    radius_end_mm: float = 0.0

    def __post_init__(self) -> None:
        for field in ("scale_mm", "nut_mm", "twelfth_mm", "beyond_mm"):
            value = getattr(self, field)
            if not (math.isfinite(value) and value > 0):
                raise InputError.at(
                    field,
                    f"{field} must be a length above 0 mm; got {quoted(value)}. Give it in mm.",
                )
        if not 12 <= self.frets <= 36:
            raise InputError.at(
                "frets",
                f"a fretboard has 12 to 36 frets; got {quoted(self.frets)}. Count them again.",
            )
        if (self.radius_mm == 0) != (self.radius_end_mm == 0):
            raise InputError.at(
                "radius_end_mm",
                f"a board is flat all along or rounded all along; got {self.radius_mm:g} mm at the "
                f"nut and {self.radius_end_mm:g} mm at the end. Give both, or 0 for both.",
            )
        for field, distance in (("radius_mm", 0.0), ("radius_end_mm", self.length_mm)):
            value, half = getattr(self, field), self.width_mm(distance) / 2
            if value != 0 and not half <= value < math.inf:
                raise InputError.at(
                    field,
                    f"{field} must be at least half the board's width there, {half:.1f} mm; "
                    f"got {quoted(value)}. Give a larger radius, or 0 for a flat board.",
                )

    @property
    def length_mm(self) -> float:
        """From the nut to the end of the board."""
        return self.fret_mm(self.frets) + self.beyond_mm

    def fret_mm(self, fret: int) -> float:
        """Distance from the nut to a fret: L (1 - 2^(-n/12)), twelve-tone equal temperament."""
        self._check(fret)
        return self.scale_mm * (1 - 2 ** (-fret / 12))

    def fret_by_rule_mm(self, fret: int, divisor: float) -> float:
        """Where a workshop rule puts a fret: each gap is the rest of the string over `divisor`.

        Parameters
        ----------
        fret : int
        divisor : float, above 1
            Such as RULE_17_817 or RULE_18.

        Returns
        -------
        float
            mm from the nut; the rule's error is this less `fret_mm`.

        Raises
        ------
        InputError
            For a divisor that is not above 1, and as `fret_mm`.
        """
        self._check(fret)
        if not 1 < divisor < math.inf:
            raise InputError.at(
                "divisor",
                f"the divisor of a fret rule is above 1, such as 18; got {quoted(divisor)}.",
            )
        return self.scale_mm * (1 - (1 - 1 / divisor) ** fret)

    def width_mm(self, distance_mm: float) -> float:
        """Width at a distance from the nut; straight edges make it linear (common practice)."""
        return self.nut_mm + (self.twelfth_mm - self.nut_mm) * distance_mm / (self.scale_mm / 2)

    def radius_at_mm(self, distance_mm: float) -> float:
        """Radius of the rounded top at a distance from the nut, 0 if flat.

        It grows evenly along the board, so that a compound radius is part of a cone.
        """
        share = distance_mm / self.length_mm
        return self.radius_mm + (self.radius_end_mm - self.radius_mm) * share

    def drop_mm(self, distance_mm: float) -> float:
        """How much lower the edges lie than the middle of the rounded top, at that distance."""
        radius, half = self.radius_at_mm(distance_mm), self.width_mm(distance_mm) / 2
        return radius - math.sqrt(radius * radius - half * half) if radius else 0.0

    def fret_table(self) -> tuple[FretRow, ...]:
        """One row for each fret from the 1st to the last."""
        rows = []
        for fret in range(1, self.frets + 1):
            place = self.fret_mm(fret)
            width, radius = self.width_mm(place), self.radius_at_mm(place)
            wire = 2 * radius * math.asin(width / 2 / radius) if radius else width
            previous = place - self.fret_mm(fret - 1)
            rows.append(FretRow(fret, place, previous, width, wire, radius))
        return tuple(rows)

    def wire_mm(self, overhang_mm: float = 2.0) -> float:
        """Fret wire for all frets, mm, with an overhang at both ends of each to be filed away.

        Parameters
        ----------
        overhang_mm : float, 0 to 20
            2 mm is common practice, no source.

        Raises
        ------
        InputError
            For an overhang outside its range.
        """
        if not 0 <= overhang_mm <= 20:
            raise InputError.at(
                "overhang_mm",
                f"the overhang of fret wire is 0 to 20 mm at each end; got {quoted(overhang_mm)}.",
            )
        return sum(row.wire_mm + 2 * overhang_mm for row in self.fret_table())

    def _check(self, fret: int) -> None:
        if not 0 <= fret <= self.frets:
            raise InputError.at(
                "fret",
                f"this board has frets 0 (the nut) to {self.frets}; got {quoted(fret)}. "
                "Ask for one of them.",
            )
