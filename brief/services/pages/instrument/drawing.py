"""The Drawing sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.instrument.outline.comb import Comb, comb
from brief.instrument.presets import OUTLINE_EDITION
from brief.photo import MAX_BYTES
from brief.services import nouns
from brief.services.drawing.in_numbers import Drawing, Frets, drawing
from brief.services.drawing.machine import NO_MACHINE, AskedOfMachine, Machine
from brief.services.drawing.plans import machine
from brief.services.instrument.dimensions import instrument_of
from brief.services.instrument.kinds import KindView
from brief.services.instrument.tracing_overlay import Overlay, overlay
from brief.services.instrument.tracings import TracingView
from brief.services.pages.sawing import NO_SAW, Sawing, sawing
from brief.services.pages.shared import Along, used_by
from brief.services.pairing.view_settings import Shown
from brief.services.rack.density import density_of
from brief.services.spec.cutting import Cutting, cutting
from brief.services.spec.sawing.sawing import AskedOfSaw
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class DrawingSheet:
    """What the maker adds to the drawing: outlines that were traced, with overlays by their ids,
    and kinds of instrument of their own. comb : how the body's outline bends. outline_moved :
    whether it is a model's that has changed since the maker last read of it.
    """

    tracings: Sequence[TracingView]
    overlays: Mapping[str, Overlay]
    own_kinds: Sequence[KindView]
    kinds_used_by: Along
    max_bytes: int
    comb: Comb
    outline_moved: bool


def drawing_sheet(
    desk: Desk,
    brief: Brief,
    shown: Shown,
    asked: AskedOfMachine = NO_MACHINE,
    saw: AskedOfSaw = NO_SAW,
) -> tuple[DrawingSheet, Machine, Cutting, Sawing, Drawing, Frets]:
    """What the Drawing sheet shows, its sheets as a machine cuts them if that was asked for, and
    boards as that saw cuts them.
    """
    own = nouns.kinds.show_all(desk, nouns.kinds.page(desk))
    tracings = nouns.tracings.page(desk, brief_id=brief.id)
    sheet = DrawingSheet(
        tracings=nouns.tracings.show_all(desk, tracings),
        overlays={one.id: overlay(desk, one) for one in tracings},
        own_kinds=own,
        kinds_used_by=used_by(desk, nouns.kinds, own),
        max_bytes=MAX_BYTES,
        comb=comb(instrument_of(brief)),
        outline_moved=brief.outline is None
        and brief.own_kind is None
        and brief.outline_edition < OUTLINE_EDITION,
    )
    densities = _densities(desk, brief)
    made = cutting(desk, brief, densities)
    boards = sawing(desk, brief, saw)
    return sheet, machine(desk, brief, asked), made, boards, *drawing(desk, brief, densities)


def _densities(desk: Desk, brief: Brief) -> dict[str, float]:
    """kg/m³ by role, of the parts whose pieces have one."""
    found: dict[str, float] = {}
    for part in nouns.parts.page(desk, brief_id=brief.id):
        if part.material_id is not None:
            density = density_of(nouns.materials.get(desk, part.material_id, binned=True))
            if density is not None:
                found.setdefault(part.role, density)
    return found
