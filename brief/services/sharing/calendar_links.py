"""Links that a calendar subscribes to: the days of one brief's run-up, for its maker.

As with the links for others, the secret is told once and kept as its SHA-256 alone. A calendar
asks by itself for years, so that none expires; moved to the offcuts bin it opens nothing.
"""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field
from sqlalchemy import select

from brief.errors import NotFound
from brief.services.common.field_types import Columns, Draft, Fields, Id, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.sharing.shares import digest, new_secret
from brief.store.desk import Desk
from brief.store.records import Brief, CalendarLink


class CalendarLinkDraft(Draft):
    """A link for a calendar as it is sent."""

    brief_id: Id
    name: Title = Field(description="Which calendar it is for", examples=["my phone"])


class CalendarLinkView(View):
    """A link for a calendar as it is shown."""

    brief_id: Id
    name: str
    address: str | None = Field(
        description="Where it opens; told once, in the answer that made it, and never again",
        examples=["/s/u3Zk…/run-up.ics"],
    )
    link: str | None = Field(
        None,
        description="The same as a whole, for the calendar; told once",
        examples=["http://192.168.178.20:8765/s/u3Zk…/run-up.ics"],
    )


class CalendarLinks(Noun[CalendarLink, CalendarLinkView]):
    """Links by which a calendar reads a run-up."""

    record, draft, view = CalendarLink, CalendarLinkDraft, CalendarLinkView
    settled: ClassVar = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: CalendarLink | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields) if record else dict(fields) | new_secret(desk)

    def show(self, desk: Desk, record: CalendarLink) -> CalendarLinkView:
        """The link, with its address where it is new."""
        address = f"/s/{record.token}/run-up.ics" if record.token else None
        return CalendarLinkView(**view_fields(record, "brief_id", "name"), address=address)


def subscribed(desk: Desk, token: str) -> tuple[CalendarLink, Brief]:
    """The link that this secret opens, and its brief.

    Raises NotFound, in the same words whether it was never given out or is in the offcuts bin.
    """
    link = desk.session.scalar(
        select(CalendarLink).where(CalendarLink.token_sha256 == digest(token))
    )
    brief = None if link is None else desk.session.get(Brief, link.brief_id)
    if link is None or brief is None or link.binned_utc or brief.binned_utc:
        raise NotFound("This calendar link does not open anything. Make a new one on Run-up.")
    return link, brief


calendar_links = CalendarLinks()
