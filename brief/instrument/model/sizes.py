"""Every number of an instrument that a maker may change: what it is called and how far it goes.

The limits are wide enough for what makers build and narrow enough that the drawing stays true:
common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from brief.english import capital
from brief.errors import InputError, quoted
from brief.instrument.outline.bouts import SAID, bouts
from brief.instrument.presets import Preset

DimensionUnit = Literal["mm", "count"]
DimensionOf = Literal["fretboard", "head", "body", "rosette", "bridge"]
PART_TITLES: dict[DimensionOf, str] = {
    "fretboard": "Fretboard",
    "head": "Headstock",
    "body": "Body",
    "rosette": "Rosette",
    "bridge": "Bridge",
}
LEAST_SHARE, MOST_SHARE = 0.75, 1.35
"""How far a size of body or head may go from its kind's own, so that it is still of that kind."""


@dataclass(frozen=True)
class Dimension:
    """One number with its name in data, its plain label, its value and its limits.

    `part` is what it belongs to; `unit` is "mm", or "count" for a whole number.
    """

    name: str
    label: str
    part: DimensionOf
    unit: DimensionUnit
    value: float
    least: float
    most: float

    def check(self, value: object) -> float:
        """The value as a number.

        Raises
        ------
        InputError
            If it is none, or outside the limits.
        """
        whole = " whole" if self.unit == "count" else ""
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise InputError.at(
                self.name,
                f"{self.label} must be a{whole} number; got {quoted(value)}. Give a number.",
            )
        unit = " mm" if self.unit == "mm" else ""
        if not self.least <= value <= self.most or (whole and value != math.floor(value)):
            raise InputError.at(
                self.name,
                f"{self.label} must be{' a' if whole else ''}{whole}{' number' if whole else ''} "
                f"between {self.least:g} and {self.most:g}{unit} on this model; "
                f"got {value:g}. Choose a value between them.",
            )
        return float(value)


# name, label, part, least, most.
_MM: tuple[tuple[str, str, DimensionOf, float, float], ...] = (
    ("scale_mm", "Scale length", "fretboard", 330, 864),
    ("fan_mm", "Treble scale shorter by", "fretboard", 0, 100),
    ("nut_mm", "Nut width", "fretboard", 25, 70),
    ("twelfth_mm", "Width at 12th fret", "fretboard", 30, 85),
    ("nut_spread_mm", "String spread at nut", "fretboard", 18, 62),
    ("beyond_mm", "Fretboard past last fret", "fretboard", 1, 40),
    ("radius_mm", "Radius at nut", "fretboard", 0, 1500),
    ("radius_end_mm", "Radius at end", "fretboard", 0, 1500),
    ("side_neck_mm", "Side depth at neck", "body", 30, 160),
    ("side_tail_mm", "Side depth at tail", "body", 30, 160),
    ("binding_mm", "Binding width", "body", 0.5, 8),
    ("purfling_mm", "Purfling width", "body", 0.3, 8),
    ("cutaway_depth_mm", "Cutaway depth", "body", 0, 200),
    ("cutaway_length_mm", "Cutaway length", "body", 30, 260),
    ("cutaway_round_mm", "Horn radius", "body", 0, 60),
)
_BRIDGE: tuple[tuple[str, str, str, float, float], ...] = (
    ("bridge_width_mm", "width_mm", "Bridge width", 40, 240),
    ("bridge_depth_mm", "depth_mm", "Bridge depth", 8, 60),
    ("saddle_spread_mm", "spread_mm", "String spread at saddle", 25, 90),
    ("saddle_bass_mm", "bass_mm", "Compensation, bass", 0, 12),
    ("saddle_treble_mm", "treble_mm", "Compensation, treble", 0, 12),
)
HINTS = {
    "fan_mm": "0 = parallel frets",
    "square_fret": "The one at right angles on a fan; 0 = nut",
    "nut_spread_mm": "Outer string to outer string",
    "radius_mm": "0 = flat",
    "radius_end_mm": "0 = flat",
    "cutaway_depth_mm": "In from the treble side; 0 = none",
    "cutaway_length_mm": "Down from the neck joint",
    "cutaway_round_mm": "0 = pointed (Florentine)",
    "rosette_gap_mm": "From the edge of the hole",
    "bridge_width_mm": "Wing to wing",
    "bridge_depth_mm": "Front to back",
    "saddle_spread_mm": "Outer string to outer string",
    "saddle_bass_mm": "Saddle past the scale length",
    "saddle_treble_mm": "Saddle past the scale length",
}
"""What a number is measured between, and what 0 means, where its label does not say."""
BRIDGE_FIELDS = {name: field for name, field, *_ in _BRIDGE}
PLAIN_FIELDS = frozenset({name for name, *_ in _MM} | {"frets", "frets_to_body", "square_fret"})


def numbers(preset: Preset) -> tuple[Dimension, ...]:
    """All numbers of this instrument, in the order in which they are worked through.

    Sizes of body and head have limits in proportion to the preset that is asked.
    """
    counts = (
        Dimension("frets", "Frets", "fretboard", "count", preset.frets, 12, 30),
        Dimension(
            "frets_to_body", "Joins body at fret", "fretboard", "count", preset.frets_to_body, 9, 19
        ),
        Dimension(
            "square_fret",
            "Square fret",
            "fretboard",
            "count",
            preset.square_fret,
            0,
            24,
        ),
    )
    plain = [
        Dimension(name, label, part, "mm", getattr(preset, name), least, most)
        for name, label, part, least, most in _MM
    ]
    bridge = [
        Dimension(name, label, "bridge", "mm", getattr(preset.bridge, field), least, most)
        for name, field, label, least, most in _BRIDGE
    ]
    hole, head = preset.hole, preset.head
    rings = hole.rosette_mm
    inner, outer = min(r for r, _ in rings), max(r for _, r in rings)
    rosette = [
        _near("hole_mm", "Soundhole diameter", "rosette", hole.diameter_mm),
        _near("hole_at_mm", "Soundhole centre from neck joint", "rosette", hole.centre_mm),
        Dimension(
            "rosette_gap_mm",
            "Rosette gap from hole",
            "rosette",
            "mm",
            inner - hole.diameter_mm / 2,
            0.5,
            20,
        ),
        Dimension("rosette_mm", "Rosette width", "rosette", "mm", outer - inner, 2, 40),
    ]
    shape = [
        _near("head_mm", "Headstock length", "head", max(d for d, _ in head.crest)),
        _near("head_width_mm", "Headstock width", "head", 2 * max(w for _, w in head.outline)),
        _near("body_mm", "Body length", "body", preset.body_mm),
    ]
    for bout in bouts(preset.outline):
        said = SAID[bout.name].removeprefix("the ")
        shape.append(_near(f"{bout.name}_mm", f"{capital(said)} width", "body", bout.width_mm))
        shape.append(_near(f"{bout.name}_at_mm", f"Neck joint to {said}", "body", bout.at_mm))
    return (plain[0], *counts, *plain[1:], *shape, *rosette, *bridge)


# 0 says that there is none, and what these are told by hangs on it.
_NONE_AT_NOUGHT = ("cutaway_depth_mm", "fan_mm", "radius_mm", "radius_end_mm")
_HANGS_ON = {
    "cutaway_length_mm": "cutaway_depth_mm",
    "cutaway_round_mm": "cutaway_depth_mm",
    "square_fret": "fan_mm",
}


def says_nothing(values: Mapping[str, float]) -> frozenset[str]:
    """The names of those numbers that are only about what the instrument does not have.

    That is a cutaway, frets that fan, a rounded board.
    """
    none = {name for name in _NONE_AT_NOUGHT if values.get(name) == 0}
    return frozenset(none | {name for name, of in _HANGS_ON.items() if of in none})


def without_shape(preset: Preset, changes: Mapping[str, float]) -> dict[str, float]:
    """The changes but for those of the outline, which mean nothing on another one."""
    names = {"body_mm", *(f"{name}{end}" for name in SAID for end in ("_mm", "_at_mm"))}
    known = {number.name for number in numbers(preset)}
    return {name: value for name, value in changes.items() if name in known - names}


def numbers_of(preset: Preset) -> dict[str, float]:
    """The value of every number by its name; millimetres, or a count."""
    return {number.name: number.value for number in numbers(preset)}


def _near(name: str, label: str, part: DimensionOf, value: float) -> Dimension:
    least, most = round(LEAST_SHARE * value, 1), round(MOST_SHARE * value, 1)
    return Dimension(name, label, part, "mm", value, least, most)
