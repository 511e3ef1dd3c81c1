"""The shelf: all briefs, each with its instrument."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.instrument.known_kinds import kind_choices
from brief.services.pages.shared import Choices, front
from brief.services.theme.briefs import BriefView
from brief.services.transfer.zip_files import MOST_SENT
from brief.store.desk import Desk


@dataclass(frozen=True)
class Shelf:
    """fronts : SVG, by the id of the brief. titles : to choose another brief by. most_sent : bytes
    of a zip that can be brought in.
    """

    briefs: Sequence[BriefView]
    fronts: Mapping[str, str]
    titles: Choices
    kinds: Choices
    most_sent: int


def shelf(desk: Desk) -> Shelf:
    """What the shelf shows."""
    briefs = nouns.briefs.page(desk)
    return Shelf(
        briefs=nouns.briefs.show_all(desk, briefs),
        fronts={brief.id: front(desk, brief, f"f{brief.id}") for brief in briefs},
        titles=[(brief.id, brief.title) for brief in briefs],
        kinds=kind_choices(desk),
        most_sent=MOST_SENT,
    )
