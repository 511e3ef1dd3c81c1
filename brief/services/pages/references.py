"""The References sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.photo import CARDS, LIGHTS, MAX_BYTES
from brief.photo.palettes.palette import FEWEST, MOST
from brief.services import nouns
from brief.services.pages.shared import (
    AGES,
    Along,
    Choices,
    NotesAndComments,
    along,
    grouped,
    said,
    same,
    views,
)
from brief.services.pairing.view_settings import Shown
from brief.services.spec.recommendations import NearView, nearest_to_each
from brief.services.theme.motifs import MotifView
from brief.services.theme.palettes import PaletteView, SwatchView
from brief.services.theme.references import MINE, OWN, ReferenceView, rights_choices
from brief.store.desk import Desk
from brief.store.records import Brief

NEAREST_SHOWN = 3  # pieces of the rack beside each named colour


@dataclass(frozen=True)
class ReferencesSheet:
    """palettes : by the id of their reference. swatches : by id, with nearest : pieces of the rack,
    nearest first. rights : by the kind of reference; mine and own : how the maker's own are sent
    and said. ages, cards, lights : of what colours are corrected by. counts : of colours in a
    palette.
    """

    references: Sequence[ReferenceView]
    motifs: Sequence[MotifView]
    palettes: Mapping[str, Sequence[PaletteView]]
    swatches: Mapping[str, SwatchView]
    nearest: Mapping[str, Sequence[NearView]]
    along: Along
    rights: Mapping[str, Choices]
    mine: str
    own: Mapping[str, str]
    ages: Choices
    cards: Choices
    lights: Choices
    counts: Choices
    max_bytes: int


def references_sheet(
    desk: Desk, brief: Brief, shown: Shown
) -> tuple[ReferencesSheet, NotesAndComments]:
    """What the References sheet shows."""
    references = views(desk, nouns.references, brief)
    palettes = views(desk, nouns.palettes, brief)
    swatches = views(desk, nouns.swatches, brief)
    nearest = nearest_to_each(desk, [one.colour.lab for one in swatches], NEAREST_SHOWN)
    sheet = ReferencesSheet(
        references=references,
        motifs=views(desk, nouns.motifs, brief),
        palettes=grouped(palettes, lambda one: one.reference_id),
        swatches={swatch.id: swatch for swatch in swatches},
        nearest=dict(zip([swatch.id for swatch in swatches], nearest, strict=True)),
        along={
            **along(desk, nouns.references, references),
            **along(desk, nouns.palettes, palettes),
            **along(desk, nouns.swatches, swatches),
        },
        rights={kind: rights_choices(kind) for kind in OWN},
        mine=MINE,
        own=OWN,
        ages=AGES,
        cards=same(CARDS),
        lights=same(LIGHTS),
        counts=same(str(count) for count in range(FEWEST, MOST + 1)),
        max_bytes=MAX_BYTES,
    )
    return sheet, said(desk, brief, references)
