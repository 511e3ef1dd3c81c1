"""The pages of a brief: each is made of frozen dataclasses, whose fields its template calls by
their names.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from brief.errors import NotFound, quoted
from brief.services import nouns
from brief.services.common.paging import Leaf
from brief.services.drawing.comparison import beside
from brief.services.drawing.instrument_drawing import WornPiece, worn
from brief.services.drawing.machine import AskedOfMachine
from brief.services.pages.frame import lost
from brief.services.pages.frame import panel as instrument
from brief.services.pages.instrument.drawing import drawing_sheet
from brief.services.pages.instrument.inlay import inlay_sheet
from brief.services.pages.instrument.spec import (
    AskedFor,
    TriesPage,
    answered,
    part_row,
    spec_sheet,
    whole,
)
from brief.services.pages.instrument.studio import studio_sheet
from brief.services.pages.people.comments import Filter, comments_sheet
from brief.services.pages.people.comments import question_form as form_for_question
from brief.services.pages.people.paper import paper_sheet
from brief.services.pages.people.sharing import sharing_sheet
from brief.services.pages.run_up.cost import cost_sheet
from brief.services.pages.run_up.movement import movement_sheet
from brief.services.pages.run_up.papers import papers_sheet
from brief.services.pages.run_up.run_up import run_up_sheet
from brief.services.pages.run_up.trip import trip_sheet
from brief.services.pages.theme.references import credits_page, reference_page, references_sheet
from brief.services.pages.theme.revisions import revisions_page
from brief.services.pages.theme.theme import theme_sheet
from brief.services.pages.theme.today import today_sheet
from brief.services.pages.wood.boards import boards as boards_found
from brief.services.pages.wood.lay import lay_page
from brief.services.pages.wood.pairing import pairing_form as form_for_pairing
from brief.services.pages.wood.pairing import pairing_page
from brief.services.pages.wood.pairings import pairings_sheet
from brief.services.pages.wood.stock import stock_page
from brief.services.pages.wood.timber import piece_page, timber_sheet
from brief.services.pairing.view_settings import Shown, Switches
from brief.services.rack.searching import RackAsked
from brief.services.spec.sawing.sawing import AskedOfSaw
from brief.services.spec.tries import tries_of
from brief.store.desk import Desk
from brief.store.records import Brief, Pairing

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

Filled: TypeAlias = "tuple[DataclassInstance, ...]"


@dataclass(frozen=True)
class Sheet:
    """One numbered sheet: `key` is its address, `fill` gathers what it shows.

    layout : where the instrument is: folded at the head, beside the sheet, or the sheet's own
    subject.
    """

    number: int
    key: str
    title: str
    fill: Callable[[Desk, Brief, Shown], Filled]
    layout: Literal["folded", "beside", "instrument"] = "folded"


@dataclass(frozen=True)
class SheetGroup:
    """An entry of the register: the sheets of one concern, the first of them opened by it."""

    title: str
    sheets: Sequence[Sheet]


@dataclass(frozen=True)
class Register:
    """Which sheet it is, of which group, of all."""

    sheet: Sheet
    group: SheetGroup
    sheets: Sequence[Sheet]
    groups: Sequence[SheetGroup]

    @classmethod
    def at(cls, sheet: Sheet) -> Register:
        """The register, opened at a sheet."""
        return cls(sheet, next(one for one in GROUPS if sheet in one.sheets), SHEETS, GROUPS)


@dataclass(frozen=True)
class Tried:
    """worn : how each piece that is tried shows as the switches have it, by its id."""

    worn: Mapping[str, WornPiece]


def panel(desk: Desk, one: Sheet, brief_id: str, switches: Switches) -> Filled:
    """The instrument beside a sheet, with what it is seen by."""
    brief = nouns.briefs.get(desk, brief_id)
    return Register.at(one), instrument(desk, brief, switches, close=_close(one))


def sheet(desk: Desk, one: Sheet, brief_id: str, switches: Switches) -> Filled:
    """One of the sheets, with the timber as the switches have it."""
    return _framed(desk, one, brief_id, switches, lambda brief, shown: one.fill(desk, brief, shown))


def spec_asked(desk: Desk, brief_id: str, switches: Switches, asked: AskedFor) -> Filled:
    """The Spec sheet with what the rack answers."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return (answered(desk, brief, shown, spec_sheet(desk, brief, shown), asked),)

    return _framed(desk, SPEC, brief_id, switches, fill)


def drawn_for(
    desk: Desk, brief_id: str, switches: Switches, asked: AskedOfMachine, saw: AskedOfSaw
) -> Filled:
    """The Drawing sheet, with its sheets as a machine cuts them where that was asked for, and
    boards as that saw cuts them.
    """

    def fill(brief: Brief, shown: Shown) -> Filled:
        return drawing_sheet(desk, brief, shown, asked, saw)

    return _framed(desk, DRAWING, brief_id, switches, fill)


def comments_found(
    desk: Desk, brief_id: str, switches: Switches, asked: Filter, leaf: Leaf
) -> Filled:
    """The Comments sheet with only what was asked for."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return comments_sheet(desk, brief, shown, asked, leaf)

    return _framed(desk, COMMENTS, brief_id, switches, fill)


def question_form(desk: Desk, brief_id: str, switches: Switches) -> Filled:
    """The form for a question to others."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return (form_for_question(desk, brief),)

    return _framed(desk, COMMENTS, brief_id, switches, fill)


def references_ordered(
    desk: Desk, brief_id: str, switches: Switches, order: str, leaf: Leaf
) -> Filled:
    """The References sheet in another order; `references_sheet` says which there are."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return references_sheet(desk, brief, shown, order, leaf)

    return _framed(desk, REFERENCES, brief_id, switches, fill)


def reference(
    desk: Desk, brief_id: str, reference_id: str, switches: Switches, order: str
) -> Filled:
    """The page of one reference, large."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return reference_page(desk, brief, reference_id, order)

    return _framed(desk, REFERENCES, brief_id, switches, fill)


def credits_of(desk: Desk, brief_id: str, switches: Switches) -> Filled:
    """The page of whose the references are."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return (credits_page(desk, brief),)

    return _framed(desk, REFERENCES, brief_id, switches, fill)


def rack(desk: Desk, brief_id: str, switches: Switches, asked: RackAsked, leaf: Leaf) -> Filled:
    """The Timber sheet with what was asked of the rack."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return timber_sheet(desk, brief, shown, asked, leaf)

    return _framed(desk, TIMBER, brief_id, switches, fill)


def pairings(
    desk: Desk, brief_id: str, switches: Switches, asked: Mapping[str, str], leaf: Leaf
) -> Filled:
    """The Pairings sheet, seen as was asked for."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return pairings_sheet(desk, brief, shown, asked, leaf)

    return _framed(desk, PAIRINGS, brief_id, switches, fill)


def pairing(
    desk: Desk, brief_id: str, pairing_id: str, switches: Switches, asked: Mapping[str, str]
) -> Filled:
    """The page of one pairing, seen as was asked for."""
    one = of_brief(nouns.pairings.get(desk, pairing_id), brief_id)

    def fill(brief: Brief, shown: Shown) -> Filled:
        return pairing_page(desk, brief, one, shown, asked)

    return _framed(desk, PAIRINGS, brief_id, switches, fill)


def pairing_form(desk: Desk, brief_id: str, pairing_id: str | None, switches: Switches) -> Filled:
    """The form for a new pairing, or for other pieces in one."""
    one = of_brief(nouns.pairings.get(desk, pairing_id), brief_id) if pairing_id else None

    def fill(brief: Brief, shown: Shown) -> Filled:
        return form_for_pairing(desk, brief, one)

    return _framed(desk, PAIRINGS, brief_id, switches, fill)


def boards(
    desk: Desk, brief_id: str, switches: Switches, asked: RackAsked, page: int, ground_id: str
) -> Filled:
    """Boards of the rack to choose from by eye."""
    brief = nouns.briefs.get(desk, brief_id)
    return (boards_found(desk, brief, switches, asked, page, ground_id),)


def lay(desk: Desk, brief_id: str, switches: Switches, asked: Mapping[str, str]) -> Filled:
    """The page where a colour is laid on a board, as was asked for."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return lay_page(desk, brief, shown, asked)

    return _framed(desk, LAY, brief_id, switches, fill)


def of_brief(one: Pairing, brief_id: str) -> Pairing:
    """The same, if it is of that brief. Raises NotFound if it is of another."""
    if one.brief_id != brief_id:
        raise NotFound(f"This brief has no pairing {quoted(one.id)}.")
    return one


def piece(
    desk: Desk, brief_id: str, material_id: str, switches: Switches, saw: AskedOfSaw
) -> Filled:
    """The page of one piece of the rack, within a brief, and where that saw cuts it."""
    material = nouns.materials.get(desk, material_id)

    def fill(brief: Brief, shown: Shown) -> Filled:
        return piece_page(desk, brief, material, saw)

    return _framed(desk, TIMBER, brief_id, switches, fill)


def stock(
    desk: Desk, brief_id: str, switches: Switches, asked: Mapping[str, str], leaf: Leaf
) -> Filled:
    """The page of a stock, with what was looked for in it."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return stock_page(desk, brief, asked, leaf)

    return _framed(desk, TIMBER, brief_id, switches, fill)


def revisions(
    desk: Desk, brief_id: str, switches: Switches, since: str | None, until: str | None
) -> Filled:
    """The page of a brief's revisions; `revisions_page` says what can be asked."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        return (revisions_page(desk, brief, since, until),)

    return _framed(desk, THEME, brief_id, switches, fill)


def beside_sheet(
    desk: Desk, brief_id: str, switches: Switches, asked: Sequence[str], other_id: str
) -> Filled:
    """The page of two instruments side by side; `beside` says what can be asked."""

    def fill(brief: Brief, shown: Shown) -> Filled:
        found = beside(desk, brief, switches, asked, other_id)
        tried = [swap.material.id for swap in found.swaps]
        return found, Tried(worn(desk, tried, switches.state))

    return _framed(desk, SPEC, brief_id, switches, fill)


def _framed(
    desk: Desk,
    one: Sheet,
    brief_id: str,
    switches: Switches,
    fill: Callable[[Brief, Shown], Filled],
) -> Filled:
    """A page of a brief with what stands round all of them; it belongs to that sheet."""
    brief = nouns.briefs.get(desk, brief_id)
    drawn = one.layout != "folded"
    panel = instrument(desk, brief, switches, drawn=drawn, close=_close(one))
    return Register.at(one), panel, lost(desk, brief), *fill(brief, panel.shown)


def part(desk: Desk, brief_id: str, part_id: str, switches: Switches) -> Filled:
    """The row of one part of the Spec sheet."""
    return part_row(desk, nouns.briefs.get(desk, brief_id), part_id, switches)


def whole_instrument(desk: Desk, brief_id: str) -> Filled:
    """What all parts of a brief together come to."""
    return (whole(desk, nouns.briefs.get(desk, brief_id)),)


def tries(
    desk: Desk,
    brief_id: str,
    part_id: str,
    switches: Switches,
    asked: str,
    page: int,
    also: Sequence[str],
) -> Filled:
    """The rack tried on one part."""
    brief = nouns.briefs.get(desk, brief_id)
    tried = tries_of(desk, brief, part_id, switches, asked, page, also)
    return (TriesPage(nouns.briefs.show(desk, brief), tried),)


def _close(one: Sheet) -> str:
    """Where one works in the instrument its body is what one sees."""
    return "body" if one.layout == "instrument" else "whole"


def sheet_of(key: str) -> Sheet:
    """The sheet of that key. Raises NotFound if there is none."""
    for one in SHEETS:
        if one.key == key:
            return one
    raise NotFound(f"There is no sheet {quoted(key[:40])}.")


def _spec(desk: Desk, brief: Brief, shown: Shown) -> Filled:
    return (spec_sheet(desk, brief, shown),)


THEME = Sheet(1, "theme", "Theme", theme_sheet)
TODAY = Sheet(2, "today", "Today", today_sheet)
REFERENCES = Sheet(3, "references", "References", references_sheet)
TIMBER = Sheet(4, "timber", "Timber and inlay", timber_sheet)
PAIRINGS = Sheet(5, "pairings", "Pairings", pairings_sheet)
LAY = Sheet(6, "lay", "Lay a colour", lay_page)
SPEC = Sheet(7, "spec", "Spec", _spec, "instrument")
DRAWING = Sheet(8, "drawing", "Drawing", drawing_sheet, "beside")
INLAY = Sheet(9, "inlay", "Inlay", inlay_sheet, "beside")
STUDIO = Sheet(10, "studio", "Studio", studio_sheet)
RUN_UP = Sheet(11, "run-up", "Run-up", run_up_sheet)
MOVEMENT = Sheet(12, "movement", "Movement", movement_sheet)
PAPERS = Sheet(13, "papers", "Papers", papers_sheet)
TRIP = Sheet(14, "trip", "Trip", trip_sheet)
COST = Sheet(15, "cost", "Cost", cost_sheet)
COMMENTS = Sheet(16, "comments", "Comments", comments_sheet)
SHARING = Sheet(17, "sharing", "Sharing", sharing_sheet)
PAPER = Sheet(18, "paper", "On paper", paper_sheet)
GROUPS = (
    SheetGroup("Theme", (THEME, TODAY)),
    SheetGroup("References", (REFERENCES,)),
    SheetGroup("Wood", (TIMBER, PAIRINGS, LAY)),
    SheetGroup("Instrument", (SPEC, DRAWING, INLAY, STUDIO)),
    SheetGroup("Run-up", (RUN_UP, MOVEMENT, PAPERS, TRIP, COST)),
    SheetGroup("People", (COMMENTS, SHARING, PAPER)),
)
SHEETS = tuple(one for group in GROUPS for one in group.sheets)
