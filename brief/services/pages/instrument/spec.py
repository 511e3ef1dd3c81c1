"""The Spec sheet, with what the rack answers where it was asked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from brief.errors import InputError, NotFound
from brief.instrument import Face
from brief.services import nouns
from brief.services.common.amounts import A_PRICE
from brief.services.common.field_types import in_field
from brief.services.drawing.comparison import beside_address
from brief.services.drawing.instrument_drawing import WornPiece, worn
from brief.services.drawing.placement import MATCHES, SEEN_FROM, TURNS, LaidView, laid_parts
from brief.services.feedback.unread import new_about
from brief.services.pages.shared import Along, Choices, NotesAndComments, along, said_of, views
from brief.services.pairing.view_settings import Shown, Switches
from brief.services.spec.offers.asking import Limits
from brief.services.spec.offers.recommendations import AskedView, ask_rack
from brief.services.spec.parts import PartView, Thread
from brief.services.spec.scheme_views import SchemeView
from brief.services.spec.schemes import scheme_view
from brief.services.spec.tries import Tries
from brief.services.theme.briefs import BriefView
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
    """worn : how each piece shows, by its id; seen_from : the face that shows a part, by its role,
    where it is not the front; new_about : how many comments are new, by the id of
    the part. asked : what the rack answers; asked_faults : why it cannot be asked, by field.
    """

    parts: Sequence[PartView]
    worn: Mapping[str, WornPiece]
    new_about: Mapping[str, int]
    swatches: Sequence[SwatchView]
    motifs: Sequence[MotifView]
    scheme: SchemeView | None
    seen_from: Mapping[str, Face] = field(default_factory=lambda: SEEN_FROM)
    asked_for: AskedFor = AskedFor()
    asked: AskedView | None = None
    asked_faults: Mapping[str, str] = field(default_factory=dict)
    beside_address: Callable[[str, Sequence[tuple[str, str]]], str] = beside_address


@dataclass(frozen=True)
class PartRow:
    """One part in full. part : None once it is in the offcuts bin. laid : None where nothing can
    be laid on it.
    """

    brief: BriefView
    part: PartView | None
    worn: Mapping[str, WornPiece]
    new_about: Mapping[str, int]
    thread: Thread | None
    laid: LaidView | None
    swatches: Sequence[SwatchView]
    motifs: Sequence[MotifView]
    along: Along
    seen_from: Mapping[str, Face] = field(default_factory=lambda: SEEN_FROM)
    matches: Choices = MATCHES
    turns: Choices = TURNS


@dataclass(frozen=True)
class Whole:
    """What all parts together come to."""

    brief: BriefView
    parts: Sequence[PartView]
    scheme: SchemeView | None


@dataclass(frozen=True)
class TriesPage:
    """The rack tried on one part."""

    brief: BriefView
    tried: Tries


def spec_sheet(desk: Desk, brief: Brief, shown: Shown) -> SpecSheet:
    """What the Spec sheet shows before the rack is asked."""
    parts = views(desk, nouns.parts, brief)
    return SpecSheet(
        parts=parts,
        worn=_worn(desk, parts, shown.switches),
        new_about=new_about(desk, brief.id),
        swatches=views(desk, nouns.swatches, brief),
        motifs=views(desk, nouns.motifs, brief),
        scheme=scheme_view(desk, brief),
    )


def part_row(
    desk: Desk, brief: Brief, part_id: str, switches: Switches
) -> tuple[PartRow, NotesAndComments]:
    """What the row of one part shows when it is opened. Raises NotFound without it."""
    record = nouns.parts.get(desk, part_id, binned=True)
    if record.brief_id != brief.id:
        raise NotFound("This part belongs to another brief.")
    part = nouns.parts.show(desk, record) if record.binned_utc is None else None
    row = PartRow(
        brief=nouns.briefs.show(desk, brief),
        part=part,
        worn=_worn(desk, [part] if part else [], switches),
        new_about=new_about(desk, brief.id),
        thread=nouns.parts.thread(desk, part.id) if part and part.swatch else None,
        laid=laid_parts(desk, brief, [record], switches.state).get(part_id),
        swatches=views(desk, nouns.swatches, brief),
        motifs=views(desk, nouns.motifs, brief),
        along=along(desk, nouns.parts, [part] if part else []),
    )
    return row, said_of(desk, brief, part_id)


def whole(desk: Desk, brief: Brief) -> Whole:
    """What all parts together come to."""
    parts = views(desk, nouns.parts, brief)
    return Whole(nouns.briefs.show(desk, brief), parts, scheme_view(desk, brief))


def _worn(desk: Desk, parts: Sequence[PartView], switches: Switches) -> dict[str, WornPiece]:
    """How the pieces of these parts show, by id; one in the offcuts bin, too."""
    return worn(desk, [part.material.id for part in parts if part.material], switches.state)


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
    tried = [swap.material_id for one in answer.proposals for swap in one.swaps]
    all_worn = {**sheet.worn, **worn(desk, tried, shown.switches.state)}
    return replace(sheet, asked_for=asked, asked=answer, worn=all_worn)
