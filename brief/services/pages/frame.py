"""What stands round every sheet: the instrument beside it, and what can be chosen there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.colour.viewing.conditions import State
from brief.english import words
from brief.instrument import Face, closer
from brief.services import nouns
from brief.services.drawing.drawing_files import conditions_query
from brief.services.drawing.instrument_drawing import loupe_views, plain_for_now
from brief.services.feedback.unread import Counts, counts
from brief.services.history.revisions import last_revision
from brief.services.instrument.dimensions import instrument_of
from brief.services.instrument.known_kinds import kind_choices
from brief.services.pages.shared import Choices, front, same
from brief.services.pairing.view_settings import (
    EYES,
    FACES,
    RELIEFS,
    STATES,
    SURROUNDS,
    Shown,
    Switches,
    shown_as,
)
from brief.services.photos.lost_pictures import LostPicture, lost_pictures
from brief.services.rack.surfaces import UNTESTED, surfaces_of
from brief.services.theme.briefs import BriefView
from brief.store.desk import Desk
from brief.store.records import Brief, Revision


@dataclass(frozen=True)
class Panel:
    """The instrument beside a sheet, with what it is seen by.

    front : SVG, from the side that the switches have, "" where it is not drawn yet; loupe_views :
    name and viewBox; close : which of them it shows. conditions : the switches as a query.
    untested : which parts are shown bare for want of a test, in words. plain : which pieces have no
    play of light for want of a photograph.
    """

    brief: BriefView
    front: str
    faces: Sequence[Face]
    loupe_views: Choices
    close: str
    kinds: Mapping[str, str]
    said_counts: Counts
    last_revision: Revision | None
    shown: Shown
    conditions: str
    states_shown: Choices
    eyes_shown: Choices
    surrounds: Choices
    reliefs: Choices
    untested: str
    plain: str


@dataclass(frozen=True)
class Lost:
    """The pictures whose files are lost."""

    lost_pictures: Sequence[LostPicture]


def panel(
    desk: Desk, brief: Brief, switches: Switches, *, drawn: bool = True, close: str = "whole"
) -> Panel:
    """The instrument of a brief as the switches have it.

    drawn : whether it is seen at once; a folded one is drawn when it is opened. close : which of
    its views is shown first.
    """
    shown = shown_as(switches, nouns.viewings.page(desk, brief_id=brief.id))
    return Panel(
        brief=nouns.briefs.show(desk, brief),
        front=_front(desk, brief, shown, close) if drawn else "",
        faces=FACES,
        loupe_views=loupe_views(brief, switches.view) if drawn else (),
        close=close,
        kinds=dict(kind_choices(desk, brief)),
        said_counts=counts(desk, brief.id),
        last_revision=last_revision(desk, brief.id),
        shown=shown,
        conditions=conditions_query(shown),
        states_shown=same(STATES),
        eyes_shown=list(EYES.items()),
        surrounds=list(SURROUNDS.items()),
        reliefs=list(RELIEFS.items()),
        untested=_untested(desk, brief, switches.state) if drawn else "",
        plain=_plain(desk, brief) if drawn and shown.shaded else "",
    )


def _front(desk: Desk, brief: Brief, shown: Shown, close: str) -> str:
    now = shown.switches
    box = closer(instrument_of(brief), now.view)[close]
    return front(desk, brief, "front", now.state, now.view, box, shaded=shown.shaded)


def lost(desk: Desk, brief: Brief) -> Lost:
    """Those of a brief, and of the rack."""
    return Lost(lost_pictures(desk, brief.id))


def _plain(desk: Desk, brief: Brief) -> str:
    """Which shell and metal is drawn plain, since only a photograph tells how it plays."""
    names = plain_for_now(desk, nouns.parts.page(desk, brief_id=brief.id))
    return f"No photograph, so no play of light: {words(names)}." if names else ""


def _untested(desk: Desk, brief: Brief, state: State) -> str:
    """Which parts the picture shows bare because their pieces were never tested in that state."""
    parts = [part for part in nouns.parts.page(desk, brief_id=brief.id) if part.material_id]
    pieces = [nouns.materials.get(desk, str(part.material_id), binned=True) for part in parts]
    surfaces = surfaces_of(desk, pieces)
    lacking = [
        part.name
        for part, piece in zip(parts, pieces, strict=True)
        if piece.lab is not None and surfaces[piece.id].state(state) != state
    ]
    return f"{UNTESTED[state]}, shown bare: {words(lacking)}." if lacking else ""
