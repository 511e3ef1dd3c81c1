"""What an instrument costs beyond the hours: what is bought, and how much of each piece."""

from __future__ import annotations

from decimal import Decimal

from sqlalchemy import ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column, relationship

from brief.store.records.base import Record, brief_key
from brief.store.records.rack import Material


class BoughtPart(Record):
    """What is bought for an instrument: tuners, strings, a case. In the currency of its brief."""

    __tablename__ = "bought_parts"

    brief_id: Mapped[str] = brief_key()
    name: Mapped[str] = mapped_column(String(200))
    number: Mapped[int]
    price: Mapped[Decimal]  # of each
    currency: Mapped[str] = mapped_column(String(3))


class PieceUsed(Record):
    """How much of a piece of the rack an instrument uses, where the maker says so."""

    __tablename__ = "pieces_used"

    brief_id: Mapped[str] = brief_key()
    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    # Percent of its price; or what the share cost, in the currency of the brief.
    share: Mapped[Decimal | None]
    cost: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))

    material: Mapped[Material] = relationship(lazy="selectin")
