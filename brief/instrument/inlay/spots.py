"""Where the copies of an inlay lie: on which part, at which frets or distances, turned how.

Places are those of the drawing: millimetres, the neck joint at the origin, x to the treble side,
y down towards the tail. A design's own top points to the head; round the rosette it points
outwards.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from brief.errors import InputError
from brief.instrument.curve import Point
from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.instrument.frets.fret_lines import lean, turn_deg
from brief.instrument.outline.outlines import NUT_MM, bridge_front_y
from brief.instrument.presets import Preset


@dataclass(frozen=True)
class Place:
    """A place on a part. Lengths in millimetres.

    Attributes
    ----------
    frets
        On the fretboard, a copy before each of these frets, midway to the one before it; a fret
        named twice has two copies side by side. Empty: one, at `along_mm`.
    along_mm
        Of the design's middle, from the nut (fretboard: to the bridge; headplate: to its top), the
        middle of the bridge (to the tail) or the neck joint (top). With frets, how much nearer to
        the bridge than midway. None is 0 with frets, and the middle of the part without. Round the
        rosette, how much farther out than midway across its rings.
    across_mm
        From the centre line to the treble side.
    copies
        Round the rosette, evenly spaced from the tail side on.
    turn_deg
        Clockwise as seen.
    mirrored
        Left for right, before it is turned.
    """

    lies_on: LiesOn
    frets: tuple[int, ...] = ()
    along_mm: float | None = None
    across_mm: float = 0.0
    copies: int = 1
    turn_deg: float = 0.0
    mirrored: bool = False


@dataclass(frozen=True)
class Spot:
    """Where one copy lies, and how it follows its place.

    Attributes
    ----------
    at : (float, float)
        Of its middle, mm.
    turn_deg
        Beyond that of its place.
    along, across : (float, float)
        Where it goes for each millimetre of the place's `along_mm` and `across_mm`.
    """

    at: Point
    turn_deg: float
    along: Point
    across: Point


FROM: Mapping[LiesOn, str] = {
    "fretboard": "from the nut",
    "headplate": "above the nut",
    "bridge": "from the middle of the bridge to the tail",
    "top": "from the neck joint",
}
MIDDLES: Mapping[LiesOn, str] = {
    "fretboard": "nut",
    "headplate": "nut",
    "bridge": "middle of the bridge",
    "top": "neck joint",
}


def spots(preset: Preset, place: Place) -> list[Spot]:
    """Where each copy lies.

    Raises
    ------
    InputError
        For a fret that the board does not have.
    """
    if place.lies_on == "rosette":
        return _round_the_hole(preset, place)
    if place.lies_on == "fretboard" and place.frets:
        return _at_frets(preset, place)
    at = along_of(preset, place)
    y = {
        "fretboard": preset.nut_y + at,
        "headplate": preset.nut_y - NUT_MM - at,
        "bridge": bridge_front_y(preset) + preset.bridge.depth_mm / 2 + at,
        "top": at,
    }[place.lies_on]
    down = -1.0 if place.lies_on == "headplate" else 1.0
    return [Spot((place.across_mm, y), 0.0, (0.0, down), (1.0, 0.0))]


def along_of(preset: Preset, place: Place) -> float:
    """How far a place is from where its part is measured from; the middle if that is not said."""
    if place.along_mm is not None:
        return place.along_mm
    if place.lies_on == "fretboard" and place.frets:
        return 0.0
    board = preset.fretboard
    return {
        "fretboard": (board.fret_mm(11) + board.fret_mm(12)) / 2,
        "headplate": max(distance for distance, _ in preset.head.crest) / 2,
        # Midway between the hole and the bridge.
        "top": (
            preset.hole.centre_mm
            + max(r for _, r in preset.hole.rosette_mm)
            + bridge_front_y(preset)
        )
        / 2,
    }.get(place.lies_on, 0.0)


def _round_the_hole(preset: Preset, place: Place) -> list[Spot]:
    radii = [radius for ring in preset.hole.rosette_mm for radius in ring]
    radius = (min(radii) + max(radii)) / 2 + along_of(preset, place)
    found = []
    for turn in (180 + 360 * i / place.copies for i in range(place.copies)):
        x, y = math.sin(math.radians(turn)), -math.cos(math.radians(turn))
        at = (radius * x, preset.hole.centre_mm + radius * y)
        found.append(Spot(at, turn, (x, y), (0.0, 0.0)))
    return found


def _at_frets(preset: Preset, place: Place) -> list[Spot]:
    board, found = preset.fretboard, []
    for fret, count in sorted(Counter(place.frets).items()):
        if not 1 <= fret <= board.frets:
            raise InputError.at(
                "frets",
                f"This board has frets 1 to {board.frets}; got {fret}. Name those before "
                "which it is to lie.",
            )
        at = (board.fret_mm(fret - 1) + board.fret_mm(fret)) / 2 + along_of(preset, place)
        leans, turn = lean(preset, fret - 0.5), turn_deg(preset, fret - 0.5)
        # Of two copies each is a share of the board's width from its middle, which the taper moves.
        taper = board.width_mm(at + 1.0) - board.width_mm(at)
        for i in range(count):
            share = (i + 0.5) / count - 0.5
            x = share * board.width_mm(at) + place.across_mm
            along = (share * taper, 1.0 + leans * share * taper)
            found.append(Spot((x, preset.nut_y + at + leans * x), turn, along, (1.0, leans)))
    return found
