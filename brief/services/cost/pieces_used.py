"""How much of a piece of the rack an instrument uses, where the maker says so."""

from __future__ import annotations

from pydantic import Field

from brief.errors import InputError
from brief.services.common.amounts import Price, Share, check_amounts
from brief.services.common.field_types import Columns, Draft, Fields, Id, View
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.naming import label
from brief.services.common.noun import Noun, view_fields
from brief.services.theme.cost_terms import check_same_currency, currency_of, keep_currency
from brief.store.desk import Desk
from brief.store.records import Brief, Material, PieceUsed


class PieceUsedDraft(Draft):
    """The share of a piece as it is sent."""

    brief_id: Id
    material_id: Id
    share: Share | None = Field(None, description="Percent of the piece, as of its price")
    cost: Price | None = Field(
        None,
        description="What the share cost, in the currency of the brief; counts in place of share "
        "and price, for a gift or a piece bought in another currency",
    )


class PieceUsedView(View):
    """The share of a piece as it is shown."""

    brief_id: Id
    material_id: Id
    label: str
    share: Share | None
    cost: Price | None
    currency: str


class PiecesUsed(Noun[PieceUsed, PieceUsedView]):
    """Shares of pieces."""

    record, draft, view = PieceUsed, PieceUsedDraft, PieceUsedView
    settled = frozenset({"brief_id", "material_id"})
    uses = ("material_id",)

    def settle(self, desk: Desk, fields: Fields, record: PieceUsed | None) -> Columns:
        """Check that something is said, once for each piece, and in which currency; see
        `Noun.settle`.
        """
        check_pointers(desk, fields, record, brief_id=Brief, material_id=Material)
        brief_id = record.brief_id if record else fields["brief_id"]
        currency = currency_of(desk, desk.session.get_one(Brief, brief_id))
        check_amounts(fields, currency, "cost")
        _check_said(
            *(
                fields[name] if name in fields else getattr(record, name)
                for name in ("share", "cost")
            )
        )
        if record is None:
            self._check_new(desk, brief_id, fields["material_id"])
        return {**fields, "currency": currency}

    def _check_new(self, desk: Desk, brief_id: str, material_id: str) -> None:
        for one in self.page(desk, brief_id=brief_id):
            if one.material_id == material_id:
                raise InputError.at(
                    "material_id", f"The {label(one)} is known already. Change that one."
                )

    def check_return(self, desk: Desk, record: PieceUsed) -> None:
        """There is one for each piece, in the currency of the brief."""
        if record.cost is not None:
            check_same_currency(desk, record)
        for one in self.page(desk, brief_id=record.brief_id):
            if one.material_id == record.material_id and one.id != record.id:
                raise InputError(f"There is another {label(one)} by now. Remove that first.")

    def follow(self, desk: Desk, record: PieceUsed) -> None:
        """Have its brief keep the currency."""
        keep_currency(desk, record.brief_id)

    def vet(self, desk: Desk, record: PieceUsed) -> None:
        """Refuse one that says nothing."""
        _check_said(record.share, record.cost)
        super().vet(desk, record)

    def show(self, desk: Desk, record: PieceUsed) -> PieceUsedView:
        """The share, with what the piece is called."""
        return PieceUsedView(
            **view_fields(record, "brief_id", "material_id", "share", "cost", "currency"),
            label=label(record),
        )


def _check_said(share: object, cost: object) -> None:
    if share is None and cost is None:
        raise InputError.at("share", "Say which share of it is used, such as 40 %, or its cost.")


pieces_used = PiecesUsed()
