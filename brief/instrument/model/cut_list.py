"""What to cut: a blank for every part, how much of it is wasted, and what the part weighs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.errors import InputError, quoted
from brief.instrument.model.contacts import (
    SADDLE_MM,
    SIDE_SPARE_MM,
    STRIP_SPARE_MM,
    blanks_mm,
    board_length_mm,
    sides_mm2,
)
from brief.instrument.outline.outlines import (
    NUT_MM,
    area_of,
    body_outline,
    bridge_outline,
    head_outline,
    length_of,
    side_lengths_mm,
)
from brief.instrument.presets import Preset

PLANED = ("top", "back", "sides", "neck", "headplate", "fretboard", "bridge")
"""What is cut thicker than it ends up; strips, nut and saddle are bought or ripped to size."""
# kg/m³: from foam to just above osmium, 22 590, the densest there is (from memory).
LEAST_DENSITY, MOST_DENSITY = 20.0, 22_600.0
HALVES = ("top", "back")
SPARE_MM = {"sides": SIDE_SPARE_MM, "binding": STRIP_SPARE_MM, "purfling": STRIP_SPARE_MM}
"""What runs round the body on either side, and how much longer its blanks are."""
STRIPS, EDGES = ("binding", "purfling"), 2  # round the top and round the back


@dataclass(frozen=True)
class Cut:
    """One line of the cut list: `pieces` alike, each a blank of this size in millimetres.

    Attributes
    ----------
    finished_mm3 : float or None
        Volume of the finished part, all pieces together; None where its shape is left to the hand,
        as a neck's is.
    density : float or None
        kg/m³; None where it is not known.
    """

    role: str
    name: str
    pieces: int
    length_mm: float
    width_mm: float
    thickness_mm: float
    finished_mm3: float | None
    density: float | None

    @property
    def blank_mm3(self) -> float:
        """Volume of all blanks of the line."""
        return self.pieces * self.length_mm * self.width_mm * self.thickness_mm

    @property
    def waste(self) -> float | None:
        """The share of the blanks, 0 to 1, that ends as offcuts, shavings and dust."""
        return None if self.finished_mm3 is None else 1 - self.finished_mm3 / self.blank_mm3

    @property
    def weight_g(self) -> float | None:
        """Of the finished part; None without a density or a finished volume."""
        return _grams(self.finished_mm3, self.density)

    @property
    def blank_g(self) -> float | None:
        """Of the blanks, before anything is cut away."""
        return _grams(self.blank_mm3, self.density)


def _grams(mm3: float | None, density: float | None) -> float | None:
    return None if mm3 is None or density is None else mm3 * density * 1e-6


def cut_list(
    preset: Preset,
    *,
    allowance_mm: float = 1.0,
    densities: Mapping[str, float] | None = None,
) -> tuple[Cut, ...]:
    """The parts that are cut from wood or bone, in the preset's order.

    Rosette, inlay, tuners and tailpiece are made or bought otherwise and are not on the list.

    Parameters
    ----------
    preset : Preset
    allowance_mm : float, 0 to 10
        Thickness to be planed away.
    densities : mapping of str to float, 20 to 22 600
        kg/m³ by role, as the maker has weighed them; weights are given for these parts alone.

    Returns
    -------
    tuple of Cut

    Raises
    ------
    InputError
        For an allowance or a density outside its range.

    Notes
    -----
    Finished thicknesses (top 2.8, back 2.6, sides 2.2, fretboard 6, bridge 9, headplate 1.2 mm)
    and the room round a blank are usual: common practice, no source.
    """
    if not 0 <= allowance_mm <= 10:
        raise InputError.at(
            "allowance_mm",
            f"the allowance for planing is 0 to 10 mm; got {quoted(allowance_mm)}. Give it in mm.",
        )
    weighed = densities or {}
    for role, given in weighed.items():
        if not LEAST_DENSITY <= given <= MOST_DENSITY:
            raise InputError.at(
                f"densities/{role}",
                f"the density of {role} must be {LEAST_DENSITY:g} to {MOST_DENSITY:g} kg/m³; got "
                f"{quoted(given)}. Weigh "
                "a squared offcut in kg and divide by its volume in m³.",
            )
    blanks, volumes = blanks_mm(preset), _finished_mm3(preset)
    cuts = []
    for part in preset.parts:
        if part.role not in volumes:
            continue
        _, width, thickness = blanks[part.role]
        volume, density = volumes[part.role], weighed.get(part.role)
        for said, pieces, length, share in _pieces(preset, part.role, blanks[part.role][0]):
            cuts.append(
                Cut(
                    part.role,
                    f"{part.name}, {said}" if said else part.name,
                    pieces,
                    length,
                    width,
                    thickness + (allowance_mm if part.role in PLANED else 0.0),
                    None if volume is None else volume * share,
                    density,
                )
            )
    return tuple(cuts)


def board_share(board_mm: tuple[float, float, float | None], cuts: Sequence[Cut]) -> float:
    """The share of a board that these blanks use up, by their area on its face.

    A board as thick as several blanks is resawn into as many layers; what is left of its thickness
    is waste. A neck is not: its heel takes the height. The kerf is not counted (common practice,
    no source).

    Parameters
    ----------
    board_mm : tuple of float
        Length, width and thickness, above 0; without a thickness it is not resawn.
    cuts : sequence of Cut

    Returns
    -------
    float
        Above 1 where the board is too small for all of them.
    """
    length, width, thickness = board_mm
    used = 0.0
    for cut in cuts:
        layers = int((thickness or 0.0) / cut.thickness_mm + 1e-9) if cut.role != "neck" else 1
        used += cut.pieces * cut.length_mm * cut.width_mm / max(layers, 1)
    return used / (length * width)


def _pieces(preset: Preset, role: str, length_mm: float) -> list[tuple[str, int, float, float]]:
    """The pieces of a part, those alike in one line.

    Each line is what tells it apart, how many, how long, and their share of the part.
    """
    strips = 1
    if role == "purfling":  # laid up from strips of veneer
        strips = math.ceil(round(preset.purfling_mm / blanks_mm(preset)["purfling"][2], 6))
    if role not in SPARE_MM:
        return [("", 2 if role in HALVES else 1, length_mm, 1.0)]
    runs = side_lengths_mm(preset)
    edges = EDGES if role in STRIPS else 1
    if not preset.cutaway_depth_mm:
        return [("", 2 * strips * edges, length_mm, 1.0)]
    along = sum(length for _, length in runs)
    return [
        (said, strips * edges, length + SPARE_MM[role], length / along) for said, length in runs
    ]


def _finished_mm3(preset: Preset) -> dict[str, float | None]:
    blanks = blanks_mm(preset)
    body, around = area_of(body_outline(preset)), length_of(body_outline(preset))
    board = board_length_mm(preset)
    flat = {
        "top": body - math.pi * (preset.hole.diameter_mm / 2) ** 2,
        "back": body,
        "sides": sides_mm2(preset),
        "headplate": area_of(head_outline(preset)),
        "fretboard": board * preset.fretboard.width_mm(board / 2),  # before its top is rounded
        "bridge": area_of(bridge_outline(preset)),
    }
    strips = {
        "binding": EDGES * around * preset.binding_mm * blanks["binding"][1],
        "purfling": EDGES * around * preset.purfling_mm * blanks["purfling"][1],
        "nut": preset.nut_mm * NUT_MM * blanks["nut"][1],
        "saddle": (preset.bridge.spread_mm + 12) * SADDLE_MM * blanks["saddle"][1],
    }
    solid = {role: area * blanks[role][2] for role, area in flat.items()}
    return {**solid, **strips, "neck": None}
