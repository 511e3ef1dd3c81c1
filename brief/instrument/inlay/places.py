"""Where an inlay lies: on which part, at which frets or distances, turned how, and how often.

Places are those of the drawing: millimetres, the neck joint at the origin, x to the treble side,
y down towards the tail. A design's own top points to the head; round the rosette it points
outwards. Sizes that the instrument's numbers leave open are typical: common practice, no source.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from brief.english import agree, words
from brief.errors import InputError
from brief.instrument.drawing.inlay_drawing import Inlaid, LiesOn, around
from brief.instrument.drawing.neck import SLOT_BEYOND_MM, SLOT_INNER_MM, SLOT_OUTER_MM, post_places
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn, lean, turn_deg
from brief.instrument.inlay.design import Shapes, path_of
from brief.instrument.model.contacts import SADDLE_MM
from brief.instrument.outline.outlines import (
    NUT_MM,
    body_outline,
    bridge_front_y,
    bridge_outline,
    head_outline,
    saddle_y,
)
from brief.instrument.plans.plan import millimetres
from brief.instrument.presets import Preset
from brief.instrument.rendering.canvas import Box

HAIR_MM = 0.005  # by which chords of a part's outline may stand inside its curve
POST_MM = 5.0
SHOWN_MM = 0.01  # by which a picture may miss the design


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


def inlaid(role: str, name: str, lies_on: LiesOn, copies: Sequence[Shapes]) -> Inlaid:
    """Copies in the drawing's places, as the picture needs them."""
    path = "".join(path_of(copy.simplify(SHOWN_MM)) for copy in copies)
    return Inlaid(role, name, lies_on, path, around([box_of(copy) for copy in copies]))


def shown_copy(copies: Sequence[Shapes], lies_on: LiesOn) -> Shapes:
    """The one that stands for all: round the rosette on the tail side, where no board lies."""
    return copies[0 if lies_on == "rosette" else len(copies) // 2]


def box_of(shape: Shapes) -> Box:
    """Left, top, width and height of shapes, mm."""
    left, top, right, bottom = shape.bounds
    return left, top, right - left, bottom - top


def laid_out(preset: Preset, shape: Shapes, place: Place) -> list[Shapes]:
    """A design at its size, at each of its places on the drawing, mm.

    Raises
    ------
    InputError
        For a fret that the board does not have.
    """
    from shapely.affinity import rotate, scale, translate

    if place.mirrored:
        shape = scale(shape, -1.0, 1.0, origin=(0, 0))
    return [
        translate(rotate(shape, place.turn_deg + turn, origin=(0, 0)), x, y)
        for x, y, turn in _spots(preset, place)
    ]


def check_lies(preset: Preset, copies: Sequence[Shapes], place: Place) -> None:
    """Refuse copies that are not wholly on their part or overlap each other.

    Raises
    ------
    InputError
        At the field to be changed.
    """
    import shapely

    if place.lies_on not in {part.role for part in preset.parts}:
        raise InputError.at(
            "lies_on", f"{preset.name} has no {place.lies_on}. Choose another part to lay it on."
        )
    ground = ground_of(preset, place.lies_on)
    room = ground.buffer(HAIR_MM)
    out = [copy for copy in copies if not room.covers(copy)]
    if out:
        raise _off(preset, out[0], ground, place)
    if len(copies) > 1 and shapely.union_all(copies).area < 0.9999 * sum(c.area for c in copies):
        raise InputError.at(
            "width_mm", "The copies lie on each other. Make the design smaller, or have fewer."
        )


def ground_of(preset: Preset, lies_on: LiesOn) -> Shapes:
    """Where on a part something can be inlaid, as Shapely's polygon."""
    import shapely

    over = board_drawn(preset)
    hole = _disc(preset, preset.hole.diameter_mm / 2)
    match lies_on:
        case "fretboard":
            return shapely.Polygon(over).difference(hole)
        case "headplate":
            return shapely.Polygon(head_outline(preset)).difference(_head_holes(preset))
        case "bridge":
            reach = preset.bridge.spread_mm / 2 + 6
            ends = [(x, saddle_y(preset, x)) for x in (-reach, reach)]
            slot = shapely.LineString(ends).buffer(SADDLE_MM / 2, cap_style="flat")
            return shapely.Polygon(bridge_outline(preset)).difference(slot)
        case "rosette":
            radii = [radius for ring in preset.hole.rosette_mm for radius in ring]
            return _disc(preset, max(radii)).difference(_disc(preset, min(radii)))
        case "top":
            edge = preset.binding_mm + preset.purfling_mm
            covered = shapely.union_all(
                [hole, shapely.Polygon(over), shapely.Polygon(bridge_outline(preset))]
            )
            return shapely.Polygon(body_outline(preset)).buffer(-edge).difference(covered)


def slots_across(preset: Preset, copies: Sequence[Shapes]) -> list[int]:
    """The frets whose slots cut through an inlay in the fretboard."""
    import shapely

    slots = {
        fret: shapely.LineString(fret_drawn(preset, fret)) for fret in range(1, preset.frets + 1)
    }
    return [fret for fret, slot in slots.items() if any(slot.intersects(copy) for copy in copies)]


def under_board(preset: Preset, copies: Sequence[Shapes]) -> int:
    """How many copies the end of the fretboard covers, wholly or in part."""
    board = ground_of(preset, "fretboard")
    return sum(copy.intersects(board) for copy in copies)


def in_words(preset: Preset, place: Place) -> str:
    """The place as a maker would say it."""
    said = []
    if place.lies_on == "fretboard" and place.frets:
        counts = Counter(place.frets)
        named = [f"{fret}{' (two)' if counts[fret] == 2 else ''}" for fret in sorted(counts)]
        said.append(f"before {agree(named, 'fret', 'frets')} {words(named)}")
        if place.along_mm:
            said.append(_by(place.along_mm, "nearer to the bridge", "nearer to the nut"))
    elif place.lies_on == "rosette":
        said.append(f"{place.copies} round the hole" if place.copies > 1 else "on the tail side")
        if place.along_mm:
            said.append(_by(place.along_mm, "further out", "further in"))
    else:
        at, since = _along(preset, place), FROM[place.lies_on]
        said.append(f"{millimetres(at)} mm {since}" if at else f"at the {MIDDLES[place.lies_on]}")
    if place.across_mm and place.lies_on != "rosette":
        said.append(_by(place.across_mm, "to the treble side", "to the bass side"))
    if place.mirrored:
        said.append("mirrored")
    if place.turn_deg:
        said.append(f"turned {millimetres(place.turn_deg)}°")
    return f"{place.lies_on}, " + ", ".join(said)


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


def _spots(preset: Preset, place: Place) -> list[tuple[float, float, float]]:
    """x, y and a further turn of each copy."""
    board = preset.fretboard
    if place.lies_on == "rosette":
        radii = [radius for ring in preset.hole.rosette_mm for radius in ring]
        radius = (min(radii) + max(radii)) / 2 + (place.along_mm or 0.0)
        turns = [180 + 360 * i / place.copies for i in range(place.copies)]
        return [
            (
                radius * math.sin(math.radians(turn)),
                preset.hole.centre_mm - radius * math.cos(math.radians(turn)),
                turn,
            )
            for turn in turns
        ]
    if place.lies_on == "fretboard" and place.frets:
        spots = []
        for fret, count in sorted(Counter(place.frets).items()):
            if not 1 <= fret <= board.frets:
                raise InputError.at(
                    "frets",
                    f"This board has frets 1 to {board.frets}; got {fret}. Name those before "
                    "which it is to lie.",
                )
            at = (board.fret_mm(fret - 1) + board.fret_mm(fret)) / 2 + (place.along_mm or 0.0)
            for i in range(count):
                x = ((i + 0.5) / count - 0.5) * board.width_mm(at) + place.across_mm
                y = preset.nut_y + at + lean(preset, fret - 0.5) * x
                spots.append((x, y, turn_deg(preset, fret - 0.5)))
        return spots
    at = _along(preset, place)
    y = {
        "fretboard": preset.nut_y + at,
        "headplate": preset.nut_y - NUT_MM - at,
        "bridge": bridge_front_y(preset) + preset.bridge.depth_mm / 2 + at,
        "top": at,
    }[place.lies_on]
    return [(place.across_mm, y, 0.0)]


def _along(preset: Preset, place: Place) -> float:
    """How far from where its part is measured from; the middle where nothing is said."""
    if place.along_mm is not None:
        return place.along_mm
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


def _off(preset: Preset, copy: Shapes, ground: Shapes, place: Place) -> InputError:
    """Why a copy does not lie on its part, at the field to be changed."""
    left, top, right, bottom = copy.bounds
    low_x, low_y, high_x, high_y = ground.bounds
    wide, tall = right - left, bottom - top
    on = place.lies_on
    if place.lies_on == "rosette":
        across = max(r for ring in preset.hole.rosette_mm for r in ring) - min(
            r for ring in preset.hole.rosette_mm for r in ring
        )
        return InputError.at(
            "width_mm",
            f"The design reaches beyond the rosette, which is {millimetres(across)} mm wide from "
            "its inner ring to its outer. Make it smaller, or widen the rosette.",
        )
    if wide > high_x - low_x or tall > high_y - low_y:
        return InputError.at(
            "width_mm",
            f"The design is larger than the {on}: {millimetres(wide)} × {millimetres(tall)} mm on "
            f"{millimetres(high_x - low_x)} × {millimetres(high_y - low_y)}. Make it smaller.",
        )
    clear = {
        "fretboard": "the fretboard, whose edges taper",
        "headplate": "the headplate, clear of posts and slots",
        "bridge": "the bridge, clear of the saddle",
        "top": "the top, clear of its edge, the hole, the bridge and the fretboard",
    }[on]
    sideways = left < low_x or right > high_x or on == "fretboard"
    return InputError.at(
        "across_mm" if sideways and not place.frets else "width_mm" if place.frets else "along_mm",
        f"The design does not lie wholly on {clear}. Move it, or make it smaller.",
    )


def _head_holes(preset: Preset) -> Shapes:
    import shapely

    head, base = preset.head, preset.nut_y - NUT_MM
    if not head.slotted:
        return shapely.union_all([shapely.Point(at).buffer(POST_MM) for at in post_places(preset)])
    top = base - head.posts_mm[-1] - SLOT_BEYOND_MM
    low = base - head.posts_mm[0] + SLOT_BEYOND_MM
    return shapely.union_all(
        [
            shapely.box(SLOT_INNER_MM, top, SLOT_OUTER_MM, low),
            shapely.box(-SLOT_OUTER_MM, top, -SLOT_INNER_MM, low),
        ]
    )


def _disc(preset: Preset, radius: float) -> Any:
    import shapely

    return shapely.Point(0.0, preset.hole.centre_mm).buffer(radius, quad_segs=128)


def _by(length: float, plus: str, minus: str) -> str:
    return f"{millimetres(abs(length))} mm {plus if length > 0 else minus}"
