"""The Pairings sheet: every pairing as it will be seen, with a word and a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from brief.services import nouns
from brief.services.common.paging import FIRST, Leaf, Pager, paged
from brief.services.drawing.pair_pictures import PairPicture, picture_from
from brief.services.pages.shared import Along, Choices, along
from brief.services.pairing.glances import Glance, glances
from brief.services.pairing.pairings import line_words
from brief.services.pairing.seen_in import (
    SeenChoice,
    SeenIn,
    eyes_choices,
    place_choices,
    seen_in,
    state_choices,
)
from brief.services.pairing.sides import sides_of
from brief.services.pairing.view_settings import STATES, Shown
from brief.services.pairing.viewings import ViewingView, light_choices
from brief.services.rack.harmonies import measured_labs
from brief.services.rack.surfaces import Surface
from brief.store.desk import Desk
from brief.store.records import Brief, Pairing, Viewing

A_PAGE = 24


@dataclass(frozen=True)
class Ways:
    """How it is seen, and how else it could be."""

    seen: SeenIn
    places: Sequence[SeenChoice]
    states: Sequence[SeenChoice]
    eyes: Sequence[SeenChoice]


@dataclass(frozen=True)
class PairingsSheet:
    """pairings : a page of them, newest first. lines : how wide, in words. pictures, at_a_glance :
    both by the pairing's id, as lines are; one without a colour has none. pieces : how many of the
    rack have a colour.
    """

    pairings: Sequence[Pairing]
    pager: Pager
    lines: Mapping[str, str]
    pictures: Mapping[str, PairPicture]
    at_a_glance: Mapping[str, Glance]
    ways: Ways
    viewings: Sequence[ViewingView]
    light_choices: Mapping[str, Choices]
    pieces: int
    along: Along


def pairings_sheet(
    desk: Desk,
    brief: Brief,
    shown: Shown,
    asked: Mapping[str, str] | None = None,
    leaf: Leaf = FIRST,
) -> tuple[PairingsSheet]:
    """What the Pairings sheet shows; `asked` is how to see them, as `seen_in` has it."""
    newest_first = list(reversed(nouns.pairings.page(desk, brief_id=brief.id)))
    pairings, pager = paged(newest_first, A_PAGE, leaf)
    viewings = nouns.viewings.page(desk, brief_id=brief.id)
    sides = sides_of(desk, pairings)
    surfaces = [surface for one in sides.values() for surface in one.surfaces]
    ways = ways_to_see(asked or {}, shown, viewings, surfaces)
    pictures = {
        one.id: picture_from(desk, one, sides[one.id], ways.seen)
        for one in pairings
        if one.id in sides
    }
    sheet = PairingsSheet(
        pairings=pairings,
        pager=replace(pager, asked=ways.seen.asked),
        lines={one.id: line_words(one) for one in pairings},
        pictures=pictures,
        at_a_glance=glances(pairings, sides, ways.seen, viewings),
        ways=ways,
        viewings=nouns.viewings.show_all(desk, viewings),
        light_choices=light_choices(),
        pieces=len(measured_labs(desk)),
        along=along(desk, nouns.viewings, viewings),
    )
    return (sheet,)


def ways_to_see(
    asked: Mapping[str, str],
    shown: Shown,
    viewings: Sequence[Viewing],
    surfaces: Iterable[Surface],
) -> Ways:
    """How these are seen, and the ways that make a difference to one of them."""
    shifted = {state for one in surfaces for state in one.shifts}
    tested = [state for state in STATES if state in shifted]
    seen = seen_in(dict(asked), shown.switches, viewings, finished="finished" in tested)
    return Ways(
        seen, place_choices(seen, viewings), state_choices(seen, tested), eyes_choices(seen)
    )
