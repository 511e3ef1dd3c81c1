"""Studio pictures: those of a brief that were computed, and whether others see them."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field
from sqlalchemy import select

from brief.errors import NotFound
from brief.services.common.field_types import Columns, Draft, Fields, Id, Title, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.photos.pictures import PictureView, keep_picture, picture_view
from brief.services.studio.shots import Planned, Today
from brief.store.desk import Desk
from brief.store.records import Brief, StudioPicture


class StudioPictureDraft(Draft):
    """What can be said of a studio picture; the picture itself is computed."""

    brief_id: Id
    name: Title = Field(examples=["Turned a little, in the fair’s hall"])
    private: bool = Field(True, description="Kept from whoever the brief is shared with")


class StudioPictureView(View):
    """A studio picture as it is shown."""

    brief_id: Id
    name: str
    view: str
    private: bool
    said: list[str] = Field(
        description="How it was lit, what of it is measured and what is guessed",
        examples=[["Computed, not photographed."]],
    )
    is_of_today: bool = Field(
        description="Whether the studio would compute the same of the brief as it is now; if not, "
        "the instrument, its light or the studio has changed since"
    )
    picture: PictureView


class StudioPictures(Noun[StudioPicture, StudioPictureView]):
    """The studio pictures of a brief."""

    record, draft, view = StudioPicture, StudioPictureDraft, StudioPictureView
    settled = frozenset({"brief_id"})
    made_by_json = False  # it takes minutes; see brief.services.studio.studio

    def settle(self, desk: Desk, fields: Fields, record: StudioPicture | None) -> Columns:
        """Find its brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        return dict(fields)

    def show(self, desk: Desk, record: StudioPicture) -> StudioPictureView:
        """The picture, with its addresses."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[StudioPicture]) -> list[StudioPictureView]:
        """As `show`; what goes into the pictures of a brief today is looked up once."""
        briefs = {one.brief_id for one in records}
        today = {one: Today(desk, desk.session.get_one(Brief, one)) for one in briefs}
        return [_shown(desk, one, today[one.brief_id].would_give(one)) for one in records]

    def vet(self, desk: Desk, record: StudioPicture) -> None:
        """As `Noun.vet`; what its brief is made of may not be there yet."""
        _shown(desk, record, is_of_today=False)

    def made_before(self, desk: Desk, plan: Planned) -> StudioPicture | None:
        """The picture of the same brief that was made of the same, if it is there, file and all."""
        found = desk.session.scalars(
            select(StudioPicture)
            .where(
                StudioPicture.brief_id == plan.brief_id,
                StudioPicture.made_of == plan.made_of,
                StudioPicture.binned_utc.is_(None),
            )
            .order_by(StudioPicture.id.desc())
        )
        return next((one for one in found if desk.images.holds(one.image_sha256)), None)

    def keep(
        self, desk: Desk, plan: Planned, data: bytes, *, private: bool = True
    ) -> StudioPicture:
        """Keep what came out. Raises NotFound where the brief was removed meanwhile, StoreError
        where the disk has no room; then nothing is kept.
        """
        brief = desk.session.get(Brief, plan.brief_id)
        if brief is None or brief.binned_utc is not None:
            raise NotFound("The brief was removed before its picture was done.")
        image = keep_picture(desk, f"studio-{plan.asked.view}", data)
        record = StudioPicture(
            brief_id=plan.brief_id,
            name=plan.name,
            view=plan.asked.view,
            image_sha256=image.sha256,
            made_of=plan.made_of,
            said=list(plan.said),
            private=private,
        )
        desk.session.add(record)
        desk.session.flush()
        return record


def _shown(desk: Desk, record: StudioPicture, is_of_today: bool) -> StudioPictureView:
    return StudioPictureView(
        **view_fields(record, "brief_id", "name", "view", "private", "said"),
        is_of_today=is_of_today,
        picture=picture_view(desk, record.image_sha256),
    )


studio_pictures = StudioPictures()
