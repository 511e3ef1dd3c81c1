"""Revisions: beside what all nouns do, what changed since, and taking things back."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query
from pydantic import BaseModel, Field

from brief.api.desks import ReadingDesk, WritingDesk
from brief.api.nouns import noun_router
from brief.api.problems import responses
from brief.errors import InputError, NothingChanged
from brief.services.common.naming import label
from brief.services.history import restoring
from brief.services.history.changes.things import ChangeGroup, changes
from brief.services.history.parcels.gathering import pack
from brief.services.history.parcels.parcel import Parcel
from brief.services.history.revisions import document_of
from brief.services.nouns import revisions

router = noun_router(revisions, NothingChanged.status)


class Changes(BaseModel):
    """What is other than in a revision."""

    since: str = Field(examples=["Rev A"])
    until: str = Field(examples=["now"])
    groups: list[ChangeGroup]


@router.get(
    "/{record_id}/document",
    summary="The whole brief as it was",
    responses=responses(404),
)
def document(record_id: str, desk: ReadingDesk) -> Parcel:
    """The whole brief as it was at a revision."""
    return document_of(revisions.get(desk, record_id))


@router.get(
    "/{record_id}/changes",
    summary="What changed since, until now or until another revision",
    responses=responses(404, 422),
)
def since(
    record_id: str,
    desk: ReadingDesk,
    until: Annotated[str | None, Query(max_length=26, description="Another revision")] = None,
) -> Changes:
    """The changes since a revision, until now or another one."""
    first = revisions.get(desk, record_id)
    second = revisions.get(desk, until) if until else None
    if second is not None and second.brief_id != first.brief_id:
        raise InputError.at("until", "This is a revision of another brief.")
    after = (
        document_of(second)
        if second
        else pack(desk, first.brief_id, offcuts=False, revisions=False)
    )
    return Changes(
        since=label(first),
        until=label(second) if second else "now",
        groups=changes(document_of(first), after),
    )


@router.post(
    "/{record_id}/give-back",
    summary="Make one thing, or all of the brief, what it was then; what is there is frozen first",
    responses=responses(400, 403, 404, 413, 422, 507),
)
def give_back(record_id: str, desk: WritingDesk, wanted: restoring.TakeBack) -> restoring.TakenBack:
    """Go back to a revision, with all or some of its things."""
    return restoring.take_back(desk, record_id, wanted)
