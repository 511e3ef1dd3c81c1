"""The Theme sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brief.instrument import Face
from brief.services import nouns, offcuts
from brief.services.pages.shared import (
    Along,
    NotesAndComments,
    WholeFront,
    along,
    front,
    said,
    used_by,
    views,
    whole_front,
)
from brief.services.pairing.view_settings import Shown
from brief.services.spec.strand import Strands
from brief.services.spec.strands import own_strands
from brief.services.theme.motifs import MotifView
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class ThemeSheet:
    """strands : the theme as it is looked at. other_faces : back and side, where parts are cut out
    of them, SVG. motifs : by id. along : of motifs, and of the brief. used_by : of motifs.
    """

    strands: Strands
    other_faces: Mapping[Face, str]
    motifs: Mapping[str, MotifView]
    has_colours: bool
    used_by: Along
    along: Along


def theme_sheet(
    desk: Desk, brief: Brief, shown: Shown
) -> tuple[ThemeSheet, NotesAndComments, WholeFront]:
    """What the Theme sheet shows."""
    motifs = views(desk, nouns.motifs, brief)
    state = shown.switches.state
    strands = own_strands(desk, brief, state)
    sheet = ThemeSheet(
        strands=strands,
        other_faces={
            face: front(desk, brief, f"whole-{face}", state, face)
            for face in strands.faces
            if face != "front"
        },
        motifs={one.id: one for one in motifs},
        has_colours=bool(nouns.swatches.page(desk, limit=1, brief_id=brief.id)),
        used_by=used_by(desk, nouns.motifs, motifs),
        along={**along(desk, nouns.motifs, motifs), brief.id: offcuts.along(desk, brief)},
    )
    about = {brief.id, *sheet.motifs}
    return sheet, said(desk, brief, about), whole_front(desk, brief, state)
