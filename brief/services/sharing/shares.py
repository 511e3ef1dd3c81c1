"""Shares: links by which somebody outside may read a brief, and speak to it, without an account.

The link's secret is shown once, when it is made; only its SHA-256 is kept, so that nobody can read
it out of the database or a copy of it.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from typing import Annotated, Literal, get_args

from pydantic import Field
from sqlalchemy import select

from brief.errors import InputError, NotFound
from brief.services.common.field_types import Columns, Day, Draft, Fields, Id, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Brief, Revision, Share, now_utc

TOKEN_BYTES = 32  # 256 bits; OWASP asks of a session's secret 64, this project's rule is 128
USUAL_WEEKS, LONGEST_DAYS = 8, 366

SheetKey = Literal["theme", "references", "pairings", "spec", "questions", "drawing", "comments"]
SHOWN: dict[SheetKey, str] = {
    "theme": "the theme and its motifs",
    "references": "pictures and passages, with their colours",
    "spec": "the instrument, part by part, with the studio pictures that you show",
    "pairings": "inlays and timbers together",
    "questions": "what you ask them",
    "drawing": "the sheets to measure from",
    "comments": "what others said",
}
USUALLY_SHOWN: tuple[SheetKey, ...] = ("theme", "references", "spec", "pairings", "questions")
Sheets = Annotated[
    list[SheetKey],
    Field(
        min_length=1,
        max_length=len(get_args(SheetKey)),
        description="Which sheets it shows",
        examples=[list(USUALLY_SHOWN)],
    ),
]


def usual_expiry() -> date:
    """The last day of a link that is made today, if nobody says otherwise."""
    return (now_utc() + timedelta(weeks=USUAL_WEEKS)).date()


class ShareDraft(Draft):
    """A link for others as it is sent."""

    brief_id: Id
    name: Title = Field(description="Who it is for", examples=["the bird counter"])
    revision_id: Id | None = Field(
        None, description="The revision that it shows; the brief as it is, if left out"
    )
    sheets: Sheets = list(USUALLY_SHOWN)
    may_comment: bool = True
    expires_on: Day = Field(default_factory=usual_expiry, description="The last day it opens, UTC")


class ShareChange(ShareDraft):
    """A change of a link for others; it can be withdrawn."""

    withdrawn: bool = Field(False, description="True withdraws it at once, and for good")


class ShareView(View):
    """A link for others as it is shown."""

    brief_id: Id
    name: str
    revision_id: Id | None
    revision: str = Field(description="Its letter; empty for the brief as it is", examples=["B"])
    sheets: list[SheetKey]
    may_comment: bool
    expires_on: date
    withdrawn: bool
    state: Literal["open", "expired", "withdrawn"]
    address: str | None = Field(
        description="Where it opens; told once, in the answer that made it, and never again",
        examples=["/s/u3Zk…"],
    )
    link: str | None = Field(
        None,
        description="The same as a whole, to hand on: where others find this program; told once",
        examples=["http://192.168.178.20:8765/s/u3Zk…"],
    )


class Shares(Noun[Share, ShareView]):
    """Links by which others may read a brief."""

    record, draft, view = Share, ShareDraft, ShareView
    changeable = ShareChange
    settled = frozenset({"brief_id"})
    uses = ("revision_id",)

    def settle(self, desk: Desk, fields: Fields, record: Share | None) -> Columns:
        """Check the last day and the revision; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, revision_id=Revision)
        if "expires_on" in fields:
            today = now_utc().date()
            latest = today + timedelta(days=LONGEST_DAYS)
            if not today <= fields["expires_on"] <= latest:
                raise InputError.at(
                    "expires_on", f"A link can last from today until {latest}; choose such a day."
                )
        kept = dict(fields) if record else dict(fields) | new_secret(desk)
        if "sheets" in fields:
            kept["sheets"] = [key for key in SHOWN if key in fields["sheets"]]
        if "withdrawn" in fields:
            withdrawn = kept.pop("withdrawn")
            if record is not None and record.withdrawn_utc and not withdrawn:
                raise InputError.at(
                    "withdrawn", "What is withdrawn stays so; make a new link instead."
                )
            if record is not None and withdrawn and not record.withdrawn_utc:
                kept["withdrawn_utc"] = now_utc()
        return kept

    def show(self, desk: Desk, record: Share) -> ShareView:
        """The link, with its state."""
        frozen = desk.session.get(Revision, record.revision_id) if record.revision_id else None
        return ShareView(
            **view_fields(
                record, "brief_id", "name", "revision_id", "sheets", "may_comment", "expires_on"
            ),
            revision=frozen.letter if frozen else "",
            withdrawn=record.withdrawn_utc is not None,
            state=_state(record),
            address=f"/s/{record.token}" if record.token else None,
        )


def opened(desk: Desk, token: str) -> Share:
    """The share that this secret opens.

    Raises NotFound, in the same words whether it was never given out, has expired or was withdrawn.
    It is found by its hash, so that the time this takes says nothing of how near a guess came.
    """
    share = desk.session.scalar(select(Share).where(Share.token_sha256 == digest(token)))
    brief = None if share is None else desk.session.get(Brief, share.brief_id)
    if (
        share is None
        or brief is None
        or _state(share) != "open"
        or share.binned_utc is not None
        or brief.binned_utc is not None
        or _is_gone(desk, share.revision_id)
    ):
        raise NotFound(
            "This link does not open anything any more, or never did. "
            "Ask whoever sent it for a new one."
        )
    return share


def _is_gone(desk: Desk, revision_id: str | None) -> bool:
    """Whether what a link shows lies in the offcuts bin."""
    frozen = desk.session.get(Revision, revision_id) if revision_id else None
    return frozen is not None and frozen.binned_utc is not None


def choices(chosen: Sequence[str] = USUALLY_SHOWN) -> list[tuple[SheetKey, str, bool]]:
    """Each sheet that can be shown: its key, what is on it, whether it is among the chosen."""
    return [(key, words, key in chosen) for key, words in SHOWN.items()]


def _state(record: Share) -> Literal["open", "expired", "withdrawn"]:
    if record.withdrawn_utc is not None:
        return "withdrawn"
    last = datetime.combine(record.expires_on, time.max, tzinfo=UTC)
    return "open" if now_utc() <= last else "expired"


def new_secret(desk: Desk) -> Columns:
    """A secret of a link's own, which is told once, and its hash, which alone is kept."""
    token = desk.mark + secrets.token_urlsafe(TOKEN_BYTES)
    return {"token": token, "token_sha256": digest(token)}


def digest(token: str) -> str:
    """What of a link's secret is kept."""
    return hashlib.sha256(token.encode()).hexdigest()


shares = Shares()
