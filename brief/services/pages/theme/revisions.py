"""The page of a brief's revisions, and what changed from one to another or to now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.common.naming import label
from brief.services.history.changes.things import ChangeGroup, changes, same_content
from brief.services.history.parcels.gathering import pack
from brief.services.history.revision_view import as_frozen
from brief.services.history.revisions import RevisionView, document_of
from brief.services.pages.shared import Choices, front
from brief.store.desk import Desk
from brief.store.records import Brief, Revision


@dataclass(frozen=True)
class RevisionsPage:
    """since, until : what is compared, None for now; fronts : both, as a caption and SVG, and
    differences : what differs, by what it is of. unchanged : whether nothing has changed since the
    last revision.
    """

    revisions: Sequence[RevisionView]
    choices: Choices
    since: Revision | None
    until: Revision | None
    unchanged: bool = False
    differences: Sequence[ChangeGroup] = ()
    fronts: Sequence[tuple[str, str]] = ()


def revisions_page(desk: Desk, brief: Brief, since: str | None, until: str | None) -> RevisionsPage:
    """since, until : ids of revisions; without them, from the last one to now."""
    known = list(reversed(nouns.revisions.page(desk, brief_id=brief.id)))
    first = next((one for one in known if one.id == since), known[0] if known else None)
    second = next((one for one in known if one.id == until), None)
    shown, choices = nouns.revisions.show_all(desk, known), [(one.id, label(one)) for one in known]
    if first is None:
        return RevisionsPage(shown, choices, first, second)
    now = pack(desk, brief.id, offcuts=False, revisions=False)
    return RevisionsPage(
        shown,
        choices,
        first,
        second,
        unchanged=same_content(document_of(known[0]), now),
        differences=changes(document_of(first), document_of(second) if second else now),
        fronts=[
            (label(first), _front_then(desk, first, "before")),
            (label(second), _front_then(desk, second, "after"))
            if second
            else ("now", front(desk, brief, "after")),
        ],
    )


def _front_then(desk: Desk, revision: Revision, prefix: str) -> str:
    with as_frozen(desk, revision) as frozen:
        return front(frozen, nouns.briefs.get(frozen, revision.brief_id), prefix)
