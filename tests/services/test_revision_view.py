"""Revisions as they were frozen, where one process has several workshops open."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import select, update

from brief.services.history.revision_view import as_frozen
from brief.services.history.revisions import RevisionDraft, revisions
from brief.services.nouns import briefs
from brief.store.records import Brief, Revision
from brief.store.workshops import HomePlace, make_workshop, open_workshop

pytestmark = pytest.mark.sqlite
SAME_ID = "01" + "A" * 24


def test_a_revision_of_one_workshop_is_not_shown_for_that_of_another(tmp_path: Path) -> None:
    """A parcel keeps the ids of what is in it, and whoever has the file can change the rest."""
    place = HomePlace(tmp_path)
    for workshop_id, title in (("a" * 10, "Heron"), ("b" * 10, "Bittern")):
        make_workshop(place.workshop(workshop_id))
        with closing(open_workshop(place.workshop(workshop_id), workshop_id)) as store:
            with store.desk(writing=True) as desk:
                brief = briefs.add(desk, briefs.draft(title=title))
                revisions.add(desk, RevisionDraft(brief_id=brief.id, note=""))
                desk.session.execute(update(Revision).values(id=SAME_ID))
            with store.desk() as desk:
                kept = desk.session.get_one(Revision, SAME_ID)
                with as_frozen(desk, kept) as frozen:
                    assert frozen.session.scalars(select(Brief.title)).all() == [title]
