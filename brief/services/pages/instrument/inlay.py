"""The Inlay sheet: the maker's own inlays, each in its place and by itself, to saw from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

from brief.instrument.drawing.parts.inlay_drawing import LiesOn
from brief.services import nouns
from brief.services.drawing.inlay_drawings import InlayRow, inlay_rows
from brief.services.drawing.whole_inlays import whole_glances
from brief.services.pages.shared import Along, Choices, along, same, views
from brief.services.pages.wood.pairings import ways_to_see
from brief.services.pairing.glances import Glance, glances
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import Shown
from brief.services.spec.parts import PartView
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class InlaySheet:
    """What the Inlay sheet shows.

    at_a_glance : by the id of an inlay's pairing. whole : of all of an inlay, by its id.
    lies_on : what an inlay can be set into.
    """

    inlays: Sequence[InlayRow]
    at_a_glance: Mapping[str, Glance]
    whole: Mapping[str, Glance]
    parts: Sequence[PartView]
    lies_on: Choices
    along: Along


def inlay_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[InlaySheet]:
    """What the Inlay sheet shows."""
    inlays = inlay_rows(desk, brief, shown.switches.state)
    pairings = [row.pairing for row in inlays if row.pairing]
    sides = sides_of(desk, pairings)
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    surfaces = [surface for one in sides.values() for surface in one.surfaces]
    seen = ways_to_see({}, shown, viewings, surfaces).seen
    sheet = InlaySheet(
        inlays=inlays,
        at_a_glance=glances(pairings, sides, seen, viewings),
        whole=whole_glances(desk, brief, seen, viewings),
        parts=views(desk, nouns.parts, brief),
        lies_on=same(get_args(LiesOn)),
        along=along(desk, nouns.inlays, [row.view for row in inlays]),
    )
    return (sheet,)
