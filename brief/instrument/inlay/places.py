"""An inlay in its place: its copies, what of its part they may lie on, and the place in words.

Places are those of the drawing, as `spots` has them. Sizes that the instrument's numbers leave open
are typical: common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from brief.english import agree, words
from brief.errors import InputError
from brief.instrument.drawing.parts.inlay_drawing import Inlaid, LiesOn, around, working_box
from brief.instrument.drawing.parts.neck import (
    SLOT_BEYOND_MM,
    SLOT_INNER_MM,
    SLOT_OUTER_MM,
    post_places,
)
from brief.instrument.frets.fret_lines import board_drawn, fret_drawn
from brief.instrument.inlay.polygons import Shapes, path_of
from brief.instrument.inlay.spots import FROM, MIDDLES, Place, along_of, spots
from brief.instrument.model.contacts import SADDLE_MM
from brief.instrument.outline.outlines import (
    NUT_MM,
    body_outline,
    bridge_outline,
    head_outline,
    saddle_y,
)
from brief.instrument.plans.draughting import millimetres
from brief.instrument.presets import Preset
from brief.instrument.rendering.fill import Box

HAIR_MM = 0.005  # by which chords of a part's outline may stand inside its curve
POST_MM = 5.0
SHOWN_MM = 0.01  # by which a picture may miss the design
ROOM_SHOWN_MM = 0.05  # and the outline of where it may lie


def inlaid(
    role: str, name: str, lies_on: LiesOn, copies: Sequence[Shapes], ident: str = ""
) -> Inlaid:
    """Copies in the drawing's places, as the picture needs them."""
    path = "".join(path_of(copy.simplify(SHOWN_MM)) for copy in copies)
    return Inlaid(role, name, lies_on, path, around([box_of(copy) for copy in copies]), ident)


def room(preset: Preset, lies_on: LiesOn, copy: Shapes) -> tuple[Box, str]:
    """What of a part is shown to move a copy about on, mm, and the outline of where it may lie."""
    ground = ground_of(preset, lies_on)
    return working_box(box_of(copy), box_of(ground)), path_of(ground.simplify(ROOM_SHOWN_MM))


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
        translate(rotate(shape, place.turn_deg + spot.turn_deg, origin=(0, 0)), *spot.at)
        for spot in spots(preset, place)
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
        at, since = along_of(preset, place), FROM[place.lies_on]
        said.append(f"{millimetres(at)} mm {since}" if at else f"at the {MIDDLES[place.lies_on]}")
    if place.across_mm and place.lies_on != "rosette":
        said.append(_by(place.across_mm, "to the treble side", "to the bass side"))
    if place.mirrored:
        said.append("mirrored")
    if place.turn_deg:
        said.append(f"turned {millimetres(place.turn_deg).replace('-', '−')}°")
    return f"{place.lies_on}, " + ", ".join(said)


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
