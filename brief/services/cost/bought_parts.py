"""What is bought for an instrument: tuners, strings, a case, the finish."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from brief.services.common.amounts import MOST_BOUGHT, Money, Price, check_amounts
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Title,
    View,
    not_boolean,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.theme.cost_terms import check_same_currency, currency_of, keep_currency
from brief.store.desk import Desk
from brief.store.records import BoughtPart, Brief

Number = Annotated[int, Field(ge=1, le=MOST_BOUGHT), not_boolean]


class BoughtPartDraft(Draft):
    """What is bought as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Tuners, three a side"])
    number: Number = Field(1, description="How many")
    price: Price = Field(description="Of each, in the currency of the brief")


class BoughtPartView(View):
    """What is bought as it is shown."""

    brief_id: Id
    name: str
    number: int
    price: Price
    currency: str
    total: Money = Field(description="Of all of them")


class BoughtParts(Noun[BoughtPart, BoughtPartView]):
    """What is bought."""

    record, draft, view = BoughtPart, BoughtPartDraft, BoughtPartView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: BoughtPart | None) -> Columns:
        """Check that its price is in the currency of the brief; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        brief_id = record.brief_id if record else fields["brief_id"]
        currency = currency_of(desk, desk.session.get_one(Brief, brief_id))
        check_amounts(fields, currency, "price")
        return {**fields, "currency": currency}

    def check_return(self, desk: Desk, record: BoughtPart) -> None:
        """It comes back in the currency that it left in."""
        check_same_currency(desk, record)

    def follow(self, desk: Desk, record: BoughtPart) -> None:
        """Have its brief keep the currency."""
        keep_currency(desk, record.brief_id)

    def show(self, desk: Desk, record: BoughtPart) -> BoughtPartView:
        """The bought part, with what all of them cost."""
        return BoughtPartView(
            **view_fields(record, "brief_id", "name", "number", "price", "currency"),
            total=record.price * record.number,
        )


bought_parts = BoughtParts()
