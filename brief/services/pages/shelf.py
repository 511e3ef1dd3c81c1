"""The shelf: all briefs, each with its instrument."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.instrument.known_kinds import kind_choices
from brief.services.pages.shared import Choices, front
from brief.services.theme.briefs import BriefView
from brief.services.today import TodayView, today
from brief.services.transfer.zip_files import MOST_SENT
from brief.store.desk import Desk
from brief.store.records import Brief

MOST_COLOURS = 16


@dataclass(frozen=True)
class Shelf:
    """By the id of the brief, fronts : SVG, now : how it stands, colours : hex of what the theme
    named. titles : to choose another brief by. most_sent : bytes of a zip that can be brought in.
    """

    briefs: Sequence[BriefView]
    fronts: Mapping[str, str]
    now: Mapping[str, TodayView]
    colours: Mapping[str, Sequence[str]]
    titles: Choices
    kinds: Choices
    most_sent: int


def shelf(desk: Desk) -> Shelf:
    """What the shelf shows."""
    briefs = nouns.briefs.page(desk)
    return Shelf(
        briefs=nouns.briefs.show_all(desk, briefs),
        fronts={brief.id: front(desk, brief, f"f{brief.id}", shaded=True) for brief in briefs},
        now={brief.id: today(desk, brief) for brief in briefs},
        colours={brief.id: _colours(desk, brief) for brief in briefs},
        titles=[(brief.id, brief.title) for brief in briefs],
        kinds=kind_choices(desk),
        most_sent=MOST_SENT,
    )


def _colours(desk: Desk, brief: Brief) -> list[str]:
    named = nouns.swatches.page(desk, brief_id=brief.id, limit=MOST_COLOURS)
    return [one.colour.hex for one in nouns.swatches.show_all(desk, named)]
