"""Stocks: what a merchant or a guild has, measured by its photographs to be looked in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from pydantic import Field
from sqlalchemy import func, select

from brief.services.common.field_types import Columns, Draft, Fields, LongLine, Title, View
from brief.services.common.finding import listed
from brief.services.common.noun import Noun, view_fields
from brief.store.desk import Desk
from brief.store.records import Board, Stock
from brief.wood import Stuff


class StockDraft(Draft):
    """A stock as it is sent; its boards come by `brief stock`."""

    name: Title = Field(examples=["Guild store, spring 2027"])
    source: LongLine = Field("", description="Whose it is, and how to reach them")
    stuff: Stuff = Field("timber", description="What kind of material its boards are")


class StockView(View):
    """A stock as it is shown."""

    name: str
    source: str
    stuff: Stuff
    boards: int = Field(description="How many were measured")


class Stocks(Noun[Stock, StockView]):
    """The stocks of a home. No brief has one; what is taken from one is a piece of the rack."""

    record, draft, view = Stock, StockDraft, StockView
    filters = ()
    hangs_by: ClassVar = {}

    def settle(self, desk: Desk, fields: Fields, record: Stock | None) -> Columns:
        """As it was sent; see `Noun.settle`."""
        return dict(fields)

    def show(self, desk: Desk, record: Stock) -> StockView:
        """The stock, and how many boards it has."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Stock]) -> list[StockView]:
        """As `show`; all are counted at once."""
        counted = (
            select(Board.stock_id, func.count())
            .where(Board.stock_id.in_([one.id for one in records]))
            .group_by(Board.stock_id)
        )
        boards = {row[0]: row[1] for row in desk.session.execute(counted)}
        return [
            StockView(**view_fields(one, "name", "source", "stuff"), boards=boards.get(one.id, 0))
            for one in records
        ]

    def are_there(self, desk: Desk) -> bool:
        """Whether there is a stock to look in."""
        return bool(self.page(desk, limit=1))

    def called(self, desk: Desk, name: str) -> Stock | None:
        """The stock of that name, if there is one."""
        return next((one for one in listed(desk, Stock) if one.name == name), None)


stocks = Stocks()
