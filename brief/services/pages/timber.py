"""The Timber sheet, and the page of one piece of the rack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from brief.photo import CARDS, LIGHTS, MAX_BYTES
from brief.services import nouns
from brief.services.drawing.instrument_drawing import Worn, worn
from brief.services.pages.shared import (
    AGES,
    Along,
    Choices,
    NotesAndComments,
    along,
    grouped,
    said,
    same,
    used_by,
    views,
)
from brief.services.pairing.view_settings import Shown
from brief.services.rack.finish_tests import FinishTestView
from brief.services.rack.materials import MaterialView
from brief.services.rack.photographs import PhotographState, PhotographView
from brief.services.spec.parts import PartView
from brief.services.spec.recommendations import UseView, uses_for
from brief.store.desk import Desk
from brief.store.records import Brief, Material
from brief.wood import Stuff


@dataclass(frozen=True)
class TimberSheet:
    """used : the parts that are of each piece; worn : how each shows as the switches have it; both
    by the id of the piece.
    """

    materials: Sequence[MaterialView]
    worn: Mapping[str, Worn]
    used: Mapping[str, Sequence[PartView]]
    along: Along
    used_by: Along
    stuffs: Choices
    max_bytes: int


def timber_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[TimberSheet, NotesAndComments]:
    """What the Timber sheet shows: all of the rack, with the notes on its pieces."""
    materials = nouns.materials.show_all(desk, nouns.materials.page(desk))
    parts = views(desk, nouns.parts, brief)
    sheet = TimberSheet(
        materials=materials,
        worn=worn(desk, [one.id for one in materials], shown.switches.state),
        used=grouped(
            [part for part in parts if part.material],
            lambda part: part.material.id if part.material else "",
        ),
        along=along(desk, nouns.materials, materials),
        used_by=used_by(desk, nouns.materials, materials),
        stuffs=same(get_args(Stuff)),
        max_bytes=MAX_BYTES,
    )
    of_the_rack = nouns.notes.show_all(desk, nouns.notes.page(desk))
    notes = grouped(of_the_rack, lambda one: one.about_id)
    return sheet, replace(said(desk, brief), notes=notes)


@dataclass(frozen=True)
class PiecePage:
    """One piece of the rack: its photographs, what they show, what it could be used for."""

    material: MaterialView
    photographs: Sequence[PhotographView]
    finish_tests: Sequence[FinishTestView]
    uses: Sequence[UseView]
    along: Along
    states: Choices
    ages: Choices
    cards: Choices
    lights: Choices
    max_bytes: int


def piece_page(desk: Desk, brief: Brief, material: Material) -> PiecePage:
    """What the page of one piece shows, within a brief."""
    shots = nouns.photographs.page(desk, material_id=material.id)
    tests = nouns.finish_tests.page(desk, material_id=material.id)
    return PiecePage(
        material=nouns.materials.show(desk, material),
        photographs=nouns.photographs.show_all(desk, shots),
        finish_tests=nouns.finish_tests.show_all(desk, tests),
        uses=uses_for(desk, brief, material),
        along={**along(desk, nouns.photographs, shots), **along(desk, nouns.finish_tests, tests)},
        states=same(get_args(PhotographState)),
        ages=AGES,
        cards=same(CARDS),
        lights=same(LIGHTS),
        max_bytes=MAX_BYTES,
    )
