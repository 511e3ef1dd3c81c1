"""All the nouns, each made once. Import them from here."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pydantic import BaseModel, Field
from sqlalchemy import select

from brief.services.comments import Comments
from brief.services.finish_tests import FinishTests
from brief.services.inlays import Inlays
from brief.services.kinds import Kinds
from brief.services.noun import Noun
from brief.services.pairings import Pairings
from brief.services.palettes import Palettes, Swatches
from brief.services.photographs import Photographs
from brief.services.questions import Answers, Questions
from brief.services.rack import Materials
from brief.services.references import References
from brief.services.revisions import Revisions
from brief.services.shares import Shares
from brief.services.spec import Parts
from brief.services.theme import Briefs, Motifs, Notes
from brief.services.tracings import Tracings
from brief.services.viewings import Viewings
from brief.store.desk import Desk

briefs = Briefs()
kinds = Kinds()
tracings = Tracings()
motifs = Motifs()
notes = Notes()
references = References()
palettes = Palettes()
swatches = Swatches()
materials = Materials()
photographs = Photographs()
finish_tests = FinishTests()
viewings = Viewings()
pairings = Pairings()
parts = Parts()
inlays = Inlays()
comments = Comments()
questions = Questions()
answers = Answers()
shares = Shares()
revisions = Revisions()

NOUNS: tuple[Noun[Any, Any], ...] = tuple(Noun.registry.values())


class OffcutView(BaseModel):
    """One removal, by the thing that was removed."""

    kind: str = Field(examples=["reference"])
    id: str
    label: str
    removed_utc: datetime
    along: list[str] = Field(description="What its removal took along", examples=[["1 palette"]])
    take_back: str = Field(description="POST here to bring all of it back")


def offcuts(desk: Desk) -> list[OffcutView]:
    """What lies in the offcuts bin, latest first."""
    found = [
        OffcutView(
            kind=noun.one,
            id=record.id,
            label=noun.label(record),
            removed_utc=record.binned_utc,
            along=list(noun.went_along(desk, record)),
            take_back=f"/api/{noun.many}/{record.id}/take-back",
        )
        for noun in NOUNS
        for record in desk.session.scalars(
            select(noun.record).where(noun.record.binned_with == noun.record.id)
        )
    ]
    return sorted(found, key=lambda offcut: offcut.removed_utc, reverse=True)
