"""The sheet of what goes out on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brief.services import nouns
from brief.services.outputs.booklets import unprintable
from brief.services.outputs.cards import LONGEST_LINES, SHEETS, first_lines
from brief.services.pages.shared import Choices
from brief.services.pairing.view_settings import Shown
from brief.services.photos.pictures import PictureView, picture_view
from brief.services.sharing.guest_view import outside
from brief.services.sharing.share_scope import handed_over
from brief.services.theme.rights import RightsStanding, counted, standing, unclear
from brief.store.desk import Desk
from brief.store.records import Brief, Reference


@dataclass(frozen=True)
class PaperPage:
    """stopped : references whose rights stand against it, with their pictures; going : those that
    are printed; private : how many never are. unprintable : letters that no font of ours has.
    """

    stopped: Sequence[tuple[Reference, RightsStanding, PictureView | None]]
    stopped_words: str
    going: Sequence[tuple[Reference, RightsStanding]]
    private: int
    first_lines: str
    longest: int
    card_pictures: Choices
    covers: Choices
    unprintable: str


def paper_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[PaperPage]:
    """What the sheet of printing shows."""
    references = nouns.references.page(desk, brief_id=brief.id)
    stopped = unclear(references)
    unclear_ids = {one.id for one in stopped}
    seen = outside(handed_over(desk, brief.id).showing(SHEETS))
    covers = [(one.id, f"{one.name} (computed)") for one in seen.studio]
    sheet = PaperPage(
        stopped=[
            (
                one,
                standing(one),
                picture_view(desk, one.image_sha256) if one.image_sha256 else None,
            )
            for one in stopped
        ],
        stopped_words=counted(stopped),
        going=[
            (one, standing(one)) for one in references if not one.private and one not in stopped
        ],
        private=sum(one.private for one in references),
        first_lines=first_lines(brief.theme),
        longest=LONGEST_LINES,
        card_pictures=[
            *covers,
            *(
                (one.about.id, one.about.label)
                for one in seen.plates
                if one.picture and one.about.id not in unclear_ids
            ),
        ],
        covers=covers,
        unprintable=unprintable(seen),
    )
    return (sheet,)
