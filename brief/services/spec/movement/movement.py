"""What damp and dry air do to the width of the parts, from the workshop to the venue."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from brief.instrument import Preset
from brief.services.common.finding import listed
from brief.services.common.naming import label
from brief.services.instrument.brief_inlays import copies_of, inlays_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.spec.movement.climates import Air, counted, year_of
from brief.services.spec.movement.movement_words import (
    BANDS,
    MEANS_SOMETHING,
    Airs,
    AirView,
    InlayMovement,
    MovedView,
    MovementView,
    PartMovement,
    case_sentence,
    change_words,
    consequence,
    edge_words,
    inlay_sentence,
    lead_of,
    under_bridge,
    unknown,
)
from brief.store.desk import Desk
from brief.store.records import Brief, Climate, Material, Part
from brief.wood.moisture import humidity_for
from brief.wood.movement import WATCH, Band, Cut, Moves, change, change_mm, moves, told

BOUND = ("top", "back")
PLATES = ("top", "back", "sides")
"""What is held across its grain, by braces or by the blocks."""


def movement_of(desk: Desk, brief: Brief) -> MovementView:
    """What the climates of a brief do to its parts and inlays."""
    airs = _airs(listed(desk, Climate, brief_id=brief.id))
    made = instrument_of(brief)
    known = {part.role: part for part in reversed(listed(desk, Part, brief_id=brief.id))}
    pieces = {
        role: desk.session.get(Material, part.material_id) if part.material_id else None
        for role, part in known.items()
    }
    moving = {role: _moves_of(piece) for role, piece in pieces.items()}
    widths = _widths(made)
    parts = [
        _part(known[role], pieces[role], moving, width, made, airs)
        for role, width in widths.items()
        if role in known
    ]
    plates = [one for role in PLATES if (one := moving.get(role))]
    case = _case(airs, plates)
    bands: list[Band] = [one.band for one in parts]
    worst: Band = max(bands, key=BANDS.index, default="small")
    return MovementView(
        base=_air_view(airs.base) if airs else None,
        driest=_air_view(airs.driest) if airs else None,
        dampest=_air_view(airs.dampest) if airs else None,
        band=worst,
        lead=lead_of(airs, parts, worst),
        case_humidity=case,
        case_sentence=case_sentence(airs, case),
        parts=parts,
        inlays=_inlays(desk, brief, moving, airs) if airs else [],
    )


def _airs(climates: Sequence[Climate]) -> Airs | None:
    """None until there are a workshop and air that differs from that."""
    workshop = next((one for one in climates if one.stage == "workshop"), None)
    if workshop is None:
        return None
    met = [air for one in climates if one is not workshop for air in counted(one)]
    met += year_of(workshop)
    count = counted(workshop)
    mean = sum(air.moisture for air in count) / len(count)
    base = min(count, key=lambda air: abs(air.moisture - mean))
    if workshop.month is None:  # of a year no month is the one; its mean is
        base = Air(workshop.name, base.month, True, base.humidity, base.celsius, mean)
    if len(climates) == 1 and len({air.moisture for air in met}) == 1:
        return None
    by_moisture = sorted(met, key=lambda air: air.moisture)
    return Airs(base, by_moisture[0], by_moisture[-1])


def _moves_of(piece: Material | None) -> Moves | None:
    if piece is None:
        return None
    return moves(piece.stuff, piece.species, piece.label, _cut_of(piece))


def _cut_of(piece: Material | None) -> Cut:
    return piece.cut if piece else "not said"  # type: ignore[return-value]  # checked when sent


def _widths(made: Preset) -> dict[str, float]:
    """What is across the grain of each part, mm: the grain of a bridge runs from wing to wing."""
    board = made.fretboard
    return {
        "top": made.width_mm,
        "back": made.width_mm,
        "sides": max(made.side_neck_mm, made.side_tail_mm),
        "fretboard": board.width_mm(board.length_mm),
        "bridge": made.bridge.depth_mm,
    }


def _part(
    part: Part,
    piece: Material | None,
    moving: Mapping[str, Moves | None],
    width: float,
    made: Preset,
    airs: Airs | None,
) -> PartMovement:
    its = moving[part.role]
    dry = _moved(width, its, airs.base, airs.driest) if airs else None
    damp = _moved(width, its, airs.base, airs.dampest) if airs else None
    worst, then = _what_then(part.role, piece, moving, (dry, damp), made, airs)
    return PartMovement(
        part_id=part.id,
        role=part.role,
        name=part.name,
        made_of=label(piece) if piece else "",
        material_id=piece.id if piece else None,
        width_mm=round(width, 1),
        cut=_cut_of(piece),
        known=its is not None,
        dry=dry,
        damp=damp,
        edge=edge_words(dry, damp) if part.role in BOUND else "",
        band=worst,
        sentence=then,
        told=told(its.woods) if its else "",
    )


def _what_then(
    role: str,
    piece: Material | None,
    moving: Mapping[str, Moves | None],
    ends: tuple[MovedView | None, MovedView | None],
    made: Preset,
    airs: Airs | None,
) -> tuple[Band, str]:
    """What its movement means for a part; of a bridge, that of the top, whatever the bridge is."""
    top = moving.get("top")
    if role == "bridge" and top and airs:
        over = made.bridge.width_mm
        under = [_moved(over, top, airs.base, air) for air in airs.ends]
        return under_bridge(over, [one for one in under if one])
    if moving[role] is None:
        return "small", unknown(piece)
    if airs is None or role == "bridge":
        return "small", ""
    return consequence(role, *ends)


def _moved(width: float, its: Moves | None, base: Air, air: Air) -> MovedView | None:
    if its is None or abs(air.moisture - base.moisture) < MEANS_SOMETHING:
        return None
    found = change(width, base.moisture, air.moisture, its)
    return MovedView(
        where=air.words,
        words=change_words(found, air.words),
        likely_mm=round(found.likely, 2),
        least_mm=round(found.least, 2),
        most_mm=round(found.most, 2),
        share=found.likely / width,
    )


def _case(airs: Airs | None, plates: Sequence[Moves]) -> tuple[int, int] | None:
    """Between which humidities every plate stays in the lowest band, at the temperature of the
    workshop."""
    if airs is None or not plates:
        return None
    most = max(one.likely for one in plates)
    base, celsius = airs.base.moisture, airs.base.celsius
    ends = [humidity_for(base + sign * WATCH / most, celsius) for sign in (-1, 1)]
    return math.ceil(ends[0]), math.floor(ends[1])


def _inlays(
    desk: Desk, brief: Brief, moving: Mapping[str, Moves | None], airs: Airs
) -> list[InlayMovement]:
    made, found = instrument_of(brief), []
    for held in inlays_of(desk, brief):
        ground, copies = held.record.lies_on, copies_of(made, held.record)
        its = moving.get("top" if ground == "rosette" else ground)
        if its is None or not copies:
            continue
        across = max(_across(one.bounds, ground) for one in copies)
        ends = [
            (change_mm(across, airs.base.moisture, air.moisture, its.likely), air)
            for air in airs.ends
            if abs(air.moisture - airs.base.moisture) >= MEANS_SOMETHING
        ]
        found.append(
            InlayMovement(
                name=held.record.name,
                ground=ground,
                width_mm=round(across, 1),
                sentence=inlay_sentence(ends),
            )
        )
    return found


def _across(bounds: tuple[float, float, float, float], ground: str) -> float:
    """Across the grain, which runs along the strings in all but a bridge."""
    left, top, right, bottom = bounds
    return bottom - top if ground == "bridge" else right - left


def _air_view(air: Air) -> AirView:
    return AirView(
        where=air.words,
        humidity=round(air.humidity, 1),
        celsius=round(air.celsius, 1),
        moisture=round(air.moisture, 1),
    )
