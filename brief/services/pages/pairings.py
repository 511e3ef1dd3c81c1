"""The Pairings sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.drawing.inlay_drawings import thinnest_of
from brief.services.drawing.instrument_drawing import Worn, worn
from brief.services.drawing.pair_pictures import PairPicture, pair_pictures
from brief.services.pages.shared import Along, Choices, NotesAndComments, along, said, views
from brief.services.pairing.pairings import PairingView
from brief.services.pairing.view_settings import EYES, Shown
from brief.services.pairing.viewings import ViewingView, light_choices
from brief.services.rack.materials import MaterialView
from brief.services.theme.palettes import SwatchView
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class PairingsSheet:
    """pairings : newest first, with pictures by their ids. materials : those that have a colour,
    worn : how each shows. inlays_thin : the thinnest place of each inlay, in words.
    """

    pairings: Sequence[PairingView]
    pictures: Mapping[str, Sequence[PairPicture]]
    viewings: Sequence[ViewingView]
    light_choices: Mapping[str, Choices]
    eyes_words: Mapping[str, str]
    materials: Sequence[MaterialView]
    worn: Mapping[str, Worn]
    swatches: Sequence[SwatchView]
    inlays_thin: Sequence[str]
    along: Along


def pairings_sheet(
    desk: Desk, brief: Brief, shown: Shown
) -> tuple[PairingsSheet, NotesAndComments]:
    """What the Pairings sheet shows."""
    pairings = list(reversed(nouns.pairings.page(desk, brief_id=brief.id)))
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    rack = nouns.materials.show_all(desk, nouns.materials.page(desk))
    materials = [one for one in rack if one.colour]
    sheet = PairingsSheet(
        pairings=nouns.pairings.show_all(desk, pairings),
        pictures={one.id: pair_pictures(desk, one, shown, viewings) for one in pairings},
        viewings=nouns.viewings.show_all(desk, viewings),
        light_choices=light_choices(),
        eyes_words=EYES,
        materials=materials,
        worn=worn(desk, [one.id for one in materials], shown.switches.state),
        swatches=views(desk, nouns.swatches, brief),
        inlays_thin=thinnest_of(desk, brief),
        along={**along(desk, nouns.pairings, pairings), **along(desk, nouns.viewings, viewings)},
    )
    return sheet, said(desk, brief)
