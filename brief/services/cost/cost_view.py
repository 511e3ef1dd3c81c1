"""The cost of a brief as the API and the terminal show it."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, Field

from brief.money.costing import What
from brief.services.common.amounts import Money, Share
from brief.services.common.field_types import Id
from brief.services.common.naming import label
from brief.services.cost.cost import Cost, in_words, spread_words
from brief.services.cost.wood import By
from brief.store.records import Brief


class WoodCostView(BaseModel):
    """What a piece of the rack costs this brief."""

    material_id: Id
    label: str
    parts: list[str]
    share: Share = Field(description="Percent of the piece")
    by: By = Field(description="How the share is known; whole: it is not, so all of it counts")
    cost: Money | None = Field(description="null where it is not known")
    missing: str = Field(description="What is not known")


class PortionView(BaseModel):
    """A part of the asking price."""

    what: What
    amount: Money


class HoursView(BaseModel):
    """Hours at the bench, those worked, too; one run in ten is quicker, one slower."""

    quick: float
    likely: float
    slow: float


class CostView(BaseModel):
    """What it costs, and what is left. The maker's alone."""

    brief_id: Id
    private: Literal[True] = True
    currency: str
    sentence: str
    asking_price: Money
    asked: bool = Field(description="Whether the maker said it; otherwise the margin asks for it")
    proposed_price: Money = Field(description="What costs, margin and commission ask for")
    portions: list[PortionView] = Field(description="They add up to the asking price exactly")
    cost: Money = Field(description="All but what is left")
    left: Money
    left_quick: Money
    left_slow: Money
    hour_worth: Money | None = Field(
        description="What an hour can be paid at that price, with nothing left and nothing lost"
    )
    margin: float | None = Field(description="What is left, percent of the price")
    mark_up: float | None = Field(description="What is left, percent of the cost")
    hours: HoursView | None
    wood: list[WoodCostView]
    missing: list[str]


def cost_view(brief: Brief, cost: Cost) -> CostView:
    """The cost as it is shown."""
    found, hours = cost.found, cost.hours
    return CostView(
        brief_id=brief.id,
        currency=cost.terms.currency,
        sentence=" ".join([*in_words(cost), spread_words(cost)]).strip(),
        asking_price=found.price,
        asked=found.asked,
        proposed_price=found.proposed,
        portions=[PortionView(what=one.what, amount=one.amount) for one in found.portions],
        cost=found.cost,
        left=found.left,
        left_quick=found.left_quick,
        left_slow=found.left_slow,
        hour_worth=found.hour_worth,
        margin=None if found.margin is None else float(found.margin),
        mark_up=None if found.mark_up is None else float(found.mark_up),
        hours=hours and HoursView(quick=hours.quick, likely=hours.likely, slow=hours.slow),
        wood=[
            WoodCostView(
                material_id=one.material.id,
                label=label(one.material),
                parts=list(one.parts),
                share=one.share,
                by=one.by,
                cost=one.cost,
                missing=one.missing,
            )
            for one in cost.wood
        ],
        missing=[one.words for one in cost.missing],
    )
