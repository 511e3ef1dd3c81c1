"""The Timber sheet, and the page of one piece of the rack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import get_args

from brief.photo import CARDS, LIGHTS, MAX_BYTES
from brief.services import nouns, offcuts
from brief.services.common.care import in_short, listing_view, piece_cautions
from brief.services.common.formatting import size
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.drawing.instrument_drawing import worn
from brief.services.pages.sawing import NO_SAW, Sawing, sawing
from brief.services.pages.shared import (
    AGES,
    CUTS,
    Along,
    Choices,
    NotesAndComments,
    along,
    grouped,
    said_of,
    same,
)
from brief.services.pairing.view_settings import Shown
from brief.services.rack.finish_tests import FinishTestView
from brief.services.rack.photographs import PhotographState, PhotographView
from brief.services.rack.piece_colours import reading_warning
from brief.services.rack.piece_views import MaterialView
from brief.services.rack.searching import ORDERS, WHOLE_RACK, RackAsked, found_on
from brief.services.spec.offers.recommendations import UseView, uses_for
from brief.services.spec.sawing.sawing import AskedOfSaw
from brief.store.desk import Desk
from brief.store.records import Brief, Material
from brief.wood import REMINDER, Stuff

A_PAGE = 96  # pieces


@dataclass(frozen=True)
class RackPiece:
    """A piece as it hangs on the rack. texture, hex : its photograph and its colour as the switches
    have it, None without one. used_for : the parts of this brief that are of it. warning : of a
    reading that no surface could have. care, papers : what can hurt, and its place on the trade
    list, in words.
    """

    id: str
    label: str
    stuff: str
    size: str
    texture: str | None
    hex: str | None
    used_for: Sequence[str]
    warning: str
    care: str
    papers: str


@dataclass(frozen=True)
class TimberSheet:
    """A page of the pieces that were asked for, of `count` on the rack. kinds_there : those that it
    has.
    """

    pieces: Sequence[RackPiece]
    pager: Pager
    count: int
    asked: RackAsked
    kinds_there: Choices
    stuffs: Choices
    reminder: str
    max_bytes: int
    orders: Choices = ORDERS


def timber_sheet(
    desk: Desk,
    brief: Brief,
    shown: Shown,
    asked: RackAsked = WHOLE_RACK,
    leaf: Leaf = FIRST,
) -> tuple[TimberSheet]:
    """What the Timber sheet shows: the rack, or what of it was asked for."""
    rack = nouns.materials.page(desk)
    found, pager = paged(found_on(rack, asked), A_PAGE, leaf, vars(asked))
    shows = worn(desk, [one.id for one in found], shown.switches.state)
    parts = grouped(
        [part for part in nouns.parts.page(desk, brief_id=brief.id) if part.material_id],
        lambda part: part.material_id or "",
    )
    pieces = [
        RackPiece(
            id=one.id,
            label=one.label,
            stuff=one.stuff,
            size=size(one),
            texture=shows[one.id].texture,
            hex=shows[one.id].hex,
            used_for=[part.name for part in parts.get(one.id, ())],
            warning=reading_warning(one),
            care=in_short(piece_cautions(one)),
            papers=listing_view(one).sentence,
        )
        for one in found
    ]
    kinds = sorted({one.stuff for one in rack})
    return (
        TimberSheet(
            pieces=pieces,
            pager=pager,
            count=len(rack),
            asked=asked,
            kinds_there=same(kinds) if kinds[1:] else (),
            stuffs=same(get_args(Stuff)),
            reminder=REMINDER,
            max_bytes=MAX_BYTES,
        ),
    )


@dataclass(frozen=True)
class PiecePage:
    """One piece of the rack: its photographs, what they show, what it could be used for."""

    material: MaterialView
    photographs: Sequence[PhotographView]
    finish_tests: Sequence[FinishTestView]
    uses: Sequence[UseView]
    used_for: Sequence[str]
    along: Along
    used_by: Along
    stuffs: Choices
    cuts: Choices
    states: Choices
    ages: Choices
    cards: Choices
    lights: Choices
    max_bytes: int


def piece_page(
    desk: Desk, brief: Brief, material: Material, saw: AskedOfSaw = NO_SAW
) -> tuple[PiecePage, Sawing, NotesAndComments]:
    """What the page of one piece shows, within a brief, and where that saw cuts it."""
    shots = nouns.photographs.page(desk, material_id=material.id)
    tests = nouns.finish_tests.page(desk, material_id=material.id)
    parts = nouns.parts.page(desk, brief_id=brief.id)
    page = PiecePage(
        material=nouns.materials.show(desk, material),
        photographs=nouns.photographs.show_all(desk, shots),
        finish_tests=nouns.finish_tests.show_all(desk, tests),
        uses=uses_for(desk, brief, material),
        used_for=[part.name for part in parts if part.material_id == material.id],
        along={
            **along(desk, nouns.materials, [material]),
            **along(desk, nouns.photographs, shots),
            **along(desk, nouns.finish_tests, tests),
        },
        used_by={material.id: offcuts.used_by(desk, material)},
        stuffs=same(get_args(Stuff)),
        cuts=CUTS,
        states=same(get_args(PhotographState)),
        ages=AGES,
        cards=same(CARDS),
        lights=same(LIGHTS),
        max_bytes=MAX_BYTES,
    )
    # A note on a piece is the rack's, whichever brief it was written in.
    notes = nouns.notes.show_all(desk, nouns.notes.page(desk, about_id=material.id))
    boards = sawing(desk, brief, saw, material)
    return page, boards, replace(said_of(desk, brief, material.id), notes={material.id: notes})
