"""The Spec sheet, with what the rack answers where it was asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from brief.errors import InputError
from brief.services import nouns
from brief.services.common.field_types import in_field
from brief.services.drawing.comparison import beside_address
from brief.services.drawing.instrument_drawing import Worn, worn
from brief.services.drawing.placement import MATCHES, TURNS, LaidView, laid_parts
from brief.services.pages.shared import Along, Choices, NotesAndComments, along, said, views
from brief.services.pairing.view_settings import Shown
from brief.services.rack.materials import MaterialView
from brief.services.rack.prices import A_PRICE
from brief.services.spec.parts import PartView, Thread
from brief.services.spec.recommendations import AskedView, Limits, ask_rack
from brief.services.spec.schemes import SchemeView, scheme_view
from brief.services.theme.motifs import MotifView
from brief.services.theme.palettes import SwatchView
from brief.store.desk import Desk
from brief.store.records import Brief


@dataclass(frozen=True)
class AskedFor:
    """What was asked of the rack, as it was sent. open : the ids of parts."""

    open: Sequence[str] = ()
    no_papers: bool = False
    most_price: str = ""


@dataclass(frozen=True)
class SpecSheet:
    """threads, laid : by the id of the part. asked : what the rack answers; asked_faults : why it
    cannot be asked, by field.
    """

    parts: Sequence[PartView]
    threads: Mapping[str, Thread]
    laid: Mapping[str, LaidView]
    materials: Sequence[MaterialView]
    worn: Mapping[str, Worn]
    swatches: Sequence[SwatchView]
    motifs: Sequence[MotifView]
    along: Along
    scheme: SchemeView | None
    matches: Choices = MATCHES
    turns: Choices = TURNS
    asked_for: AskedFor = AskedFor()
    asked: AskedView | None = None
    asked_faults: Mapping[str, str] = field(default_factory=dict)
    beside_address: Callable[[str, Sequence[tuple[str, str]]], str] = beside_address


def spec_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[SpecSheet, NotesAndComments]:
    """What the Spec sheet shows before the rack is asked."""
    records = nouns.parts.page(desk, brief_id=brief.id)
    parts = nouns.parts.show_all(desk, records)
    materials = nouns.materials.show_all(desk, nouns.materials.page(desk))
    sheet = SpecSheet(
        parts=parts,
        threads={part.id: nouns.parts.thread(desk, part.id) for part in parts if part.swatch},
        laid=laid_parts(desk, brief, records, shown.switches.state),
        materials=materials,
        worn=worn(desk, [one.id for one in materials], shown.switches.state),
        swatches=views(desk, nouns.swatches, brief),
        motifs=views(desk, nouns.motifs, brief),
        along=along(desk, nouns.parts, parts),
        scheme=scheme_view(desk, brief),
    )
    return sheet, said(desk, brief)


def answered(
    desk: Desk, brief: Brief, shown: Shown, sheet: SpecSheet, asked: AskedFor
) -> SpecSheet:
    """The sheet with what the rack answers; what cannot be asked is said on it, too."""
    try:
        price = asked.most_price.strip()
        with in_field("most_price"):
            most = A_PRICE.read(price) if price else None
        limits = Limits(frozenset(asked.open), asked.no_papers, most)
        answer = ask_rack(desk, brief, limits, shown.switches.state)
    except InputError as exc:
        faults = {one.pointer.strip("/"): str(exc) for one in exc.faults}
        return replace(sheet, asked_for=asked, asked_faults=faults)
    return replace(sheet, asked_for=asked, asked=answer)
