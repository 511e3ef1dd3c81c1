"""How the photographs lie on the parts that a board is laid out on, and what they cover of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brief.colour.viewing.conditions import State
from brief.english import words
from brief.instrument import Face, Fill, Preset
from brief.instrument.rendering.fill import laid_on
from brief.instrument.rendering.placement import (
    MATCHED,
    SLACK_MM,
    WHOLE,
    Cover,
    Laying,
    cover,
    is_matched,
    plate_mm,
)
from brief.services.drawing.instrument_drawing import chosen, fills_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.photos.remedies import bare_photographs
from brief.store.desk import Desk
from brief.store.records import Brief, Part

SOFT_PX_PER_MM = 2.0
"""Below this a photograph looks soft in a picture of the whole: a body of 480 mm takes some 1000
pixels there. Our working figure, no source."""
SEEN_FROM: dict[str, Face] = {"back": "back", "neck": "back", "sides": "side"}
"""From where these parts are seen; the others from the front."""
MATCHES = (
    ("book-right", "bookmatched, right of the joint kept"),
    ("book-left", "bookmatched, left of the joint kept"),
    ("slip", "slipmatched, right of the joint twice"),
    ("one", "one piece, centred on the line"),
)
TURNS = (
    ("0", "as taken"),
    ("90", "a quarter turn right"),
    ("180", "upside down"),
    ("270", "a quarter turn left"),
)


@dataclass(frozen=True)
class LaidView:
    """One part's photograph as it lies.

    texture : where it is served. size : its width and height as taken, pixels. laying : as
    it is, with `turn` settled. by_maker : whether the maker has laid it. sentence : at which scale,
    and what it covers. scaled : whether the photograph has a scale.
    board : width of the laid photograph and half that of the part, mm, if at its true size. face :
    from where the part is seen. photograph_id : the piece's photograph that has no scale yet.
    """

    texture: str
    size: tuple[int, int]
    laying: Laying
    by_maker: bool
    sentence: str
    scaled: bool
    board: tuple[float, float] | None
    face: Face
    photograph_id: str = ""


def laid_parts(
    desk: Desk, brief: Brief, parts: Sequence[Part], state: State
) -> dict[str, LaidView]:
    """The parts that have a photograph to be laid, by id."""
    made = instrument_of(brief)
    made_of = [one for one in chosen(desk, parts) if plate_mm(made, one[0].role)]
    fills = fills_of(desk, made_of, state)
    shots = bare_photographs(desk, [material for _, material in made_of])
    return {
        part.id: replace(
            laid_view(made, part.role, fill),
            photograph_id=next((one.id for one in shots[material.id]), ""),
        )
        for part, material in made_of
        if (fill := fills[part.role]).picture is not None
    }


def laid_view(made: Preset, role: str, fill: Fill) -> LaidView:
    """How a photograph lies on that part of an instrument; `fill` has one."""
    usual = MATCHED if is_matched(role) else WHOLE
    laying = fill.laying or usual
    turn = laying.turn if laying.turn is not None else 90 * fill.lying
    part = plate_mm(made, role)
    laid = laid_on(fill, part, matched=is_matched(role)) if part else None
    true = part and laid and fill.size_mm
    return LaidView(
        texture=fill.picture or "",
        size=fill.picture_size or (1, 1),
        laying=Laying(laying.centre, laying.match, turn),
        by_maker=fill.laying is not None,
        sentence=_sentence(fill, cover(laid, part) if part and laid and true else None)
        + _grain_words(fill, turn),
        scaled=fill.size_mm is not None,
        face=SEEN_FROM.get(role, "front"),
        board=(laid.width, part[0] / 2) if part and laid and true else None,
    )


def _grain_words(fill: Fill, turn: int) -> str:
    """What is to be said of its grain once it is turned so; "" where nothing measured it."""
    if fill.grain_deg is None:
        return ""
    if fill.lying != (turn % 180 == 90):
        return " Its grain runs across this part; turn it."
    size = fill.picture_size
    if size is not None and fill.lying != (size[0] > size[1]):
        return " Its grain runs across the photograph; it is laid along the part."
    return ""


def _sentence(fill: Fill, covered: Cover | None) -> str:
    if covered is None or fill.size_mm is None:
        return "Not at true size: the photograph has no scale, so it is stretched to the part."
    lacking = [
        f"{have:.0f} mm of the {need:.0f} mm {way}"
        for have, need, way in (
            (covered.across, covered.of_across, "half" if covered.halves else "width"),
            (covered.along, covered.of_along, "length"),
        )
        if have < need - SLACK_MM
    ]
    if lacking:
        said = f"covers {words(lacking)}; the rest repeats."
    else:
        said = f"covers {'each half' if covered.halves else 'the part'} to its edges."
    return f"At true size: the photograph {said}{_soft(fill)}"


def _soft(fill: Fill) -> str:
    if fill.size_mm is None or fill.picture_size is None:
        return ""
    fine = fill.picture_size[0] / fill.size_mm[0]
    if fine >= SOFT_PX_PER_MM:
        return ""
    return f" At {fine:.1f} pixels per millimetre it looks soft close up."
