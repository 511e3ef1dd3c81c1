"""The Theme sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.services import nouns, offcuts
from brief.services.pages.shared import (
    Along,
    NotesAndComments,
    WholeFront,
    along,
    said,
    used_by,
    views,
    whole_front,
)
from brief.services.pairing.view_settings import Shown
from brief.services.theme.motifs import MotifView
from brief.services.theme.palettes import SwatchView
from brief.services.theme.references import ReferenceView
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class ThemeSheet:
    """along : of its motifs, and of the brief. used_by : of its motifs."""

    motifs: Sequence[MotifView]
    references: Sequence[ReferenceView]
    passages: Sequence[ReferenceView]
    swatches: Sequence[SwatchView]
    used_by: Along
    along: Along


def theme_sheet(
    desk: Desk, brief: Brief, shown: Shown
) -> tuple[ThemeSheet, NotesAndComments, WholeFront]:
    """What the Theme sheet shows."""
    motifs = views(desk, nouns.motifs, brief)
    references = views(desk, nouns.references, brief)
    sheet = ThemeSheet(
        motifs=motifs,
        references=references,
        passages=[one for one in references if one.kind == "passage"],
        swatches=views(desk, nouns.swatches, brief),
        used_by=used_by(desk, nouns.motifs, motifs),
        along={**along(desk, nouns.motifs, motifs), brief.id: offcuts.along(desk, brief)},
    )
    return sheet, said(desk, brief, references), whole_front(desk, brief, shown.switches.state)
