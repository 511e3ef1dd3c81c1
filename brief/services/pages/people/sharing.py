"""The Sharing sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from brief.services import nouns
from brief.services.common.formatting import day
from brief.services.common.naming import label
from brief.services.pages.shared import Along, Choices, along, views
from brief.services.pairing.view_settings import Shown
from brief.services.sharing.shares import ShareView, SheetKey, usual_expiry
from brief.services.sharing.shares import choices as share_choices
from brief.store.desk import Desk
from brief.store.records import Brief

SheetChoices = Sequence[tuple[SheetKey, str, bool]]  # key, what is on it, whether it is chosen


@dataclass(frozen=True)
class SharingSheet:
    """shares : newest first, with sheet_choices by their ids. private_count : of references."""

    shares: Sequence[ShareView]
    sheet_choices: Mapping[str, SheetChoices]
    usual_choices: SheetChoices
    usual_expiry: date
    revision_choices: Choices
    private_count: int
    along: Along


def sharing_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[SharingSheet]:
    """What the Sharing sheet shows."""
    references = nouns.references.page(desk, brief_id=brief.id)
    shares = list(reversed(views(desk, nouns.shares, brief)))
    sheet = SharingSheet(
        shares=shares,
        sheet_choices={share.id: share_choices(share.sheets) for share in shares},
        usual_choices=share_choices(),
        usual_expiry=usual_expiry(),
        revision_choices=[
            (one.id, f"{label(one)}, {day(one.created_utc)}")
            for one in reversed(nouns.revisions.page(desk, brief_id=brief.id))
        ],
        private_count=sum(one.private for one in references),
        along=along(desk, nouns.shares, shares),
    )
    return (sheet,)
