"""A pairing as it would be seen: the timber's own photograph with the line at its true width."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from urllib.parse import urlencode

import numpy as np

from brief.colour.viewing.conditions import BENCH_M, Condition, State
from brief.colour.viewing.light import under
from brief.colour.viewing.observer import AREA_MM
from brief.english import words
from brief.errors import InputError
from brief.photo import stand_in
from brief.photo.wood.piece import HEIGHT_MM, PX_PER_MM, WIDTH_MM, cut_piece
from brief.photo.wood.recolour import recolour, transform
from brief.photo.wood.viewing_filter import as_seen, with_line
from brief.services.common.naming import label, public_label
from brief.services.common.typed_numbers import briefly
from brief.services.drawing.instrument_drawing import draw_pairing
from brief.services.pairing.seen_in import SeenIn
from brief.services.pairing.sides import Sides, sides_of
from brief.services.pairing.view_settings import Shown
from brief.services.photos.pictures import LOST
from brief.services.photos.timber_figure import TimberFigure, timber_figure
from brief.services.rack.surfaces import UNTESTED, Surface, surface_of
from brief.store.desk import Desk
from brief.store.records import Material, Pairing, Viewing

FROM_M = 2.0  # where a brief says nothing of how far away people stand


@dataclass(frozen=True)
class PairPicture:
    """One picture of a pairing: where it is served, or drawn if its timber has no scale.

    distance_m : from where the eye has it so; None close up.
    """

    words: str
    address: str = ""
    drawn: str = ""
    distance_m: float | None = None


def pair_pictures(
    desk: Desk,
    pairing: Pairing,
    shown: Shown,
    viewings: Sequence[Viewing],
    *,
    public: bool = False,
    sides: Sides | None = None,
) -> list[PairPicture]:
    """It close up, and as the eye has it from where people stand, as the switches have it.

    public : whether it is for others, who are not told how to bring it to scale. sides : its own,
    where they have been looked up.
    """
    sides = sides or sides_of(desk, [pairing]).get(pairing.id)
    if sides is None:  # one of the two has no colour
        return []
    switches = shown.switches
    ground, inlay, figure = sides.ground, sides.inlay, sides.figure
    untested = [
        (public_label if public else label)(one.material)
        for one in (ground, inlay)
        if one.state(switches.state) != switches.state
    ]
    never = f" {UNTESTED[switches.state]}: {words(untested)}." if untested else ""
    if figure is None or not desk.images.holds(figure.image_sha256):
        lacks = f": {_lacks(desk, pairing.ground)} to see it as from a distance"
        line_mm = pairing.line_mm or AREA_MM
        drawn = draw_pairing(desk, ground, inlay, line_mm, switches.state, public=public)
        return [PairPicture(f"Drawn, not to scale{'' if public else lacks}.{never}", drawn=drawn)]
    chosen = next((one for one in viewings if one.id == switches.light), None)
    place = chosen or next(iter(viewings), None)
    distance_m = place.distance_m if place else FROM_M
    from_there = briefly(place, "distance_m") if place else f"{FROM_M:g} m"
    asked = {"state": switches.state, "light": switches.light, "eyes": switches.eyes}
    address = f"/api/pairings/{pairing.id}/picture?"
    return [
        PairPicture(f"Close up: {shown.words}.{never}", address + urlencode(asked)),
        PairPicture(
            f"As the eye sees it from {from_there}, enlarged.",
            address + urlencode(asked | {"distance_m": f"{distance_m:g}"}),
            distance_m=distance_m,
        ),
    ]


def picture_from(
    desk: Desk, pairing: Pairing, sides: Sides, seen: SeenIn, distance_m: float | None = None
) -> PairPicture:
    """One pairing as it is seen, from there or from `distance_m`; drawn where that cannot be."""
    switches = seen.shown.switches
    figure = sides.figure
    if figure is None or not desk.images.holds(figure.image_sha256):
        line_mm = pairing.line_mm or AREA_MM
        drawn = draw_pairing(desk, sides.ground, sides.inlay, line_mm, switches.state)
        return PairPicture("Drawn, not to scale", drawn=drawn)
    away = seen.distance_m if distance_m is None else distance_m
    asked = {
        "state": switches.state,
        "light": switches.light,
        "eyes": switches.eyes,
        "distance_m": f"{away:g}",
    }
    address = f"/api/pairings/{pairing.id}/picture?{urlencode(asked)}"
    return PairPicture(seen.words, address, distance_m=away)


def lacks_a_picture(desk: Desk, pairing: Pairing) -> str:
    """What to do so that a pairing that is drawn can be shown in its own photograph."""
    lacks = _lacks(desk, pairing.ground).removesuffix(",")
    return f"To see it in its own wood and step back from it, {lacks}."


def untested_words(sides: Sides, state: State) -> str:
    """Which of the two was never tested in a state, in a sentence; else empty."""
    lacking = [label(one.material) for one in sides.surfaces if one.state(state) != state]
    return f"{UNTESTED[state]}: {words(lacking)}." if lacking else ""


def picture_as_asked(
    desk: Desk,
    pairing: Pairing,
    shown: Shown,
    distance_m: float | None,
    *,
    or_stand_in: bool = False,
) -> bytes:
    """`pair_picture` as the switches have it, and as the eye has it from `distance_m`, if given.

    or_stand_in : whether the timber's plain colour is to be had in place of a photograph whose
    file is lost, which is then in `desk.lost`.
    """
    condition = Condition(
        "asked",
        shown.words,
        distance_m or BENCH_M,
        shown.switches.state,
        shown.light,
        shown.eyes,
    )
    try:
        return pair_picture(desk, pairing, condition, close_up=distance_m is None)
    except LOST:
        sha256 = pairing.ground.image_sha256
        if sha256 is None or not or_stand_in:
            raise
        desk.lost[sha256] = desk.image_name(sha256)
        return stand_in(WIDTH_MM * PX_PER_MM, HEIGHT_MM * PX_PER_MM, pairing.ground.lab)


def pair_picture(desk: Desk, pairing: Pairing, condition: Condition, *, close_up: bool) -> bytes:
    """A JPEG of 60 x 40 mm of the timber, with the line across it, under that condition.

    Close up it is as it lies there, otherwise filtered as the eye does from the distance of the
    condition. Raises InputError if a colour or the scale of the timber's photograph is missing.
    """
    figure = timber_figure(desk, pairing.ground)
    if pairing.ground.lab is None or pairing.inlay.lab is None or figure is None:
        raise InputError(
            "This pairing cannot be shown to scale: both pieces need a colour, and the photograph "
            f"of {pairing.ground.label} needs a scale."
        )
    ground, inlay = surface_of(desk, pairing.ground), surface_of(desk, pairing.inlay)
    width_mm = pairing.line_mm or AREA_MM
    told = (
        ground.lab(condition.state), inlay.lab(condition.state), width_mm, condition.light.matrix,
        condition.eyes.matrix, None if close_up else condition.distance_m, figure.area,
        figure.shown, figure.shot_lab, figure.scale,
    )  # fmt: skip
    name = f"pair-{hashlib.sha256(repr(told).encode()).hexdigest()[:16]}.jpg"
    return desk.images.rendition(
        figure.image_sha256,
        name,
        lambda _: _drawn(figure, ground, inlay, width_mm, condition, close_up),
    )


def _lacks(desk: Desk, ground: Material) -> str:
    """What to do so that a timber can be shown to scale."""
    if ground.image_sha256 is None:
        return f"photograph {ground.label} bare, and put a scale on that,"
    if not desk.images.holds(ground.image_sha256):
        return f"put back the missing file of the photograph of {ground.label}"
    return f"put a scale on the photograph of {ground.label}"


def _drawn(
    figure: TimberFigure,
    ground: Surface,
    inlay: Surface,
    width_mm: float,
    condition: Condition,
    close_up: bool,
) -> bytes:
    board = recolour(figure.picture, ground.lab(condition.state), figure.shot_lab)
    picture = transform(cut_piece(board, figure.mm_per_px), condition.light.matrix)
    line = under(np.array(inlay.lab(condition.state)), condition.light)
    picture = with_line(picture, 1 / PX_PER_MM, line, width_mm)
    if not close_up:
        picture = as_seen(picture, 1 / PX_PER_MM, condition.distance_m)
    target = BytesIO()
    transform(picture, condition.eyes.matrix).save(target, "JPEG", quality=88, subsampling=0)
    return target.getvalue()
