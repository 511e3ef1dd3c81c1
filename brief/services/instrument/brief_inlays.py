"""The inlays of a brief as the drawing, the sheets and the scheme need them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select

from brief.instrument import Preset
from brief.instrument.drawing.parts.inlay_drawing import Inlaid, LiesOn
from brief.instrument.inlay.design import shape_of
from brief.instrument.inlay.places import inlaid, laid_out
from brief.instrument.inlay.spots import Place
from brief.instrument.model.contacts import INLAY_THICK_MM, LetIn
from brief.instrument.solid.parts.inlays import LaidDesign
from brief.services.instrument.dimensions import instrument_of
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Part

ROLE = "inlay"  # of the part that an inlay is taken for where none is named


@dataclass(frozen=True)
class PartInlay:
    """An inlay and the part it is, None where that is not said or lies in the offcuts bin."""

    record: Inlay
    part: Part | None

    @property
    def role(self) -> str:
        """The role of its part, or that of an inlay without one."""
        return self.part.role if self.part else ROLE


def inlays_of(desk: Desk, brief: Brief) -> list[PartInlay]:
    """The inlays of a brief in the order of making."""
    records = desk.session.scalars(
        select(Inlay)
        .where(Inlay.brief_id == brief.id, Inlay.binned_utc.is_(None))
        .order_by(Inlay.id)
    )
    found = []
    for record in records:
        part = desk.session.get(Part, record.part_id) if record.part_id else None
        found.append(PartInlay(record, part if part and part.binned_utc is None else None))
    return found


def all_inlays(desk: Desk, brief: Brief) -> Sequence[Inlay]:
    """The inlays of a brief with those in the offcuts bin, whose going changes a sheet, too."""
    return desk.session.scalars(select(Inlay).where(Inlay.brief_id == brief.id)).all()


def place_of(record: Inlay) -> Place:
    """The place of an inlay on the instrument."""
    lies_on: LiesOn = record.lies_on  # type: ignore[assignment]  # checked when it was sent
    return Place(
        lies_on,
        tuple(record.frets),
        record.along_mm,
        record.across_mm,
        record.copies,
        record.turn_deg,
        record.mirrored,
    )


def copies_of(preset: Preset, record: Inlay) -> list[Any]:
    """Its copies on the drawing; on a board that has become shorter, those that it still has."""
    place = place_on(preset, record)
    return [] if place is None else laid_out(preset, shape_of(record.path, record.width_mm), place)


def place_on(preset: Preset, record: Inlay) -> Place | None:
    """Its place with the frets that the board still has; None where it has none of them."""
    place = place_of(record)
    kept = tuple(fret for fret in place.frets if fret <= preset.frets)
    return None if place.frets and not kept else replace(place, frets=kept)


def let_in(desk: Desk, brief: Brief) -> tuple[LetIn, ...]:
    """What is let into the parts of a brief, by the id of the part that it is and by its ground."""
    made, found = instrument_of(brief), dict[tuple[str, str], LetIn]()
    for one in inlays_of(desk, brief):
        count = len(copies_of(made, one.record))
        if one.part is None or not count:
            continue
        measured, key = one.record.measured, (one.part.id, one.record.lies_on)
        before = found.get(key, LetIn(*key, 0.0, 0.0, math.inf))
        found[key] = LetIn(
            *key,
            before.area_mm2 + count * measured["area_mm2"],
            before.edge_mm + count * measured["edge_mm"],
            min(before.line_mm, measured["thinnest"]["width_mm"]),
        )
    return tuple(found.values())


def inlay_blanks_mm(desk: Desk, brief: Brief) -> dict[str, tuple[float, float, float]]:
    """The least blank that the largest piece of a part's inlays can be sawn from, by the part's
    id: longer side, shorter side, thickness."""
    found: dict[str, tuple[float, float, float]] = {}
    for one in inlays_of(desk, brief):
        if one.part is not None:
            long, short = one.record.measured["largest_mm"]
            known = found.get(one.part.id, (0.0, 0.0, INLAY_THICK_MM))
            found[one.part.id] = (max(long, known[0]), max(short, known[1]), INLAY_THICK_MM)
    return found


def shown_inlays(preset: Preset, held: Sequence[PartInlay]) -> list[Inlaid]:
    """What the picture of the front shows of them."""
    found = []
    for one in held:
        copies = copies_of(preset, one.record)
        if copies:
            name = one.part.name if one.part else one.record.name
            lies_on = place_of(one.record).lies_on
            found.append(inlaid(one.role, name, lies_on, copies, one.record.id))
    return found


def laid_in(preset: Preset, held: Sequence[PartInlay]) -> tuple[LaidDesign, ...]:
    """The same, as they are let into the body in space."""
    import shapely

    found = []
    for one in held:
        if copies := copies_of(preset, one.record):
            shape = shapely.union_all(copies)
            found.append(LaidDesign(one.role, place_of(one.record).lies_on, shape))
    return tuple(found)
