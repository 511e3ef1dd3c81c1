"""Pictures, as records that others point at."""

from __future__ import annotations

from sqlalchemy import func, select

from brief.services.photos.pictures import keep_picture
from brief.store.desk import Store
from brief.store.records import Image


def test_a_picture_is_in_the_database_before_whatever_points_at_it(store: Store, picture) -> None:
    """Nothing else would put the two in order: SQLAlchemy sorts what is added by relationships
    (its handbook on the unit of work), and a foreign key alone is none."""
    with store.desk(writing=True) as desk, desk.session.no_autoflush:
        kept = keep_picture(desk, "reeds.png", picture((92, 64, 44)))
        count = select(func.count()).select_from(Image).where(Image.sha256 == kept.sha256)
        assert desk.session.scalar(count) == 1
