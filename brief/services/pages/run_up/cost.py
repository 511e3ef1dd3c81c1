"""The Cost sheet: where the asking price goes, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from brief.money.amounts import figures, money
from brief.money.costing import Overhead
from brief.money.picture import NARROW, cost_picture
from brief.services import nouns
from brief.services.common.formatting import price, price_typed
from brief.services.common.naming import label
from brief.services.cost.bought_parts import BoughtPartView
from brief.services.cost.cost import Cost, Missing, cost_of, in_words, spread_words, worth_words
from brief.services.cost.pieces_used import PieceUsedView
from brief.services.cost.wood import WoodCost
from brief.services.pages.shared import Along, along, views
from brief.services.pairing.view_settings import Shown
from brief.store.desk import Desk
from brief.store.records import Brief

HOW = {
    "cut list": "by the cut list",
    "not enough": "and not enough by the cut list",
    "hand": "as you said",
    "whole": "counted whole",
}


@dataclass(frozen=True)
class WoodRow:
    """A piece of the rack that the instrument is made of. used : what the maker said of its share.
    share, cost : for their fields.
    """

    material_id: str
    label: str
    parts: Sequence[str]
    words: str
    amount: str
    missing: str
    used: PieceUsedView | None
    share: str
    cost: str


@dataclass(frozen=True)
class BoughtRow:
    """What is bought. total : in words; price : for its field."""

    view: BoughtPartView
    total: str
    price: str


@dataclass(frozen=True)
class TermsFields:
    """The terms as their fields show them."""

    currency: str
    hour_rate: str
    overhead: str
    margin: str
    commission: str
    asking_price: str


@dataclass(frozen=True)
class CostSheet:
    """pictures : wide and narrow, SVG; none while nothing has a price. facts : label and amount."""

    word: str
    because: str
    spread: str
    worth: str
    short: bool
    pictures: Sequence[str]
    facts: Sequence[tuple[str, str]]
    missing: Sequence[Missing]
    wood: Sequence[WoodRow]
    bought: Sequence[BoughtRow]
    bought_along: Along
    used_along: Along
    terms: TermsFields
    hours: str


def cost_sheet(desk: Desk, brief: Brief, shown: Shown) -> tuple[CostSheet]:
    """What the Cost sheet shows."""
    cost = cost_of(desk, brief)
    word, because = in_words(cost)
    bought = views(desk, nouns.bought_parts, brief)
    sheet = CostSheet(
        word=word,
        because=because,
        spread=spread_words(cost),
        worth=worth_words(cost),
        short=cost.found.left < 0,
        pictures=_pictures(cost, " ".join((word, because, spread_words(cost)))),
        facts=_facts(cost),
        missing=cost.missing,
        wood=[_wood_row(desk, one, cost.terms.currency) for one in cost.wood],
        bought=[
            BoughtRow(one, price(one.total, one.currency), price_typed(one.price, one.currency))
            for one in bought
        ],
        bought_along=along(desk, nouns.bought_parts, bought),
        used_along=along(desk, nouns.pieces_used, [one.said for one in cost.wood if one.said]),
        terms=_terms(brief, cost),
        hours="" if cost.hours is None else f"{cost.hours.likely} h",
    )
    return (sheet,)


def _pictures(cost: Cost, said: str) -> list[str]:
    """Wide and narrow."""
    if not cost.known:
        return []
    return [
        cost_picture(cost.found, said),
        cost_picture(cost.found, said, width=NARROW, prefix="cost-slim"),
    ]


def _facts(cost: Cost) -> list[tuple[str, str]]:
    found, currency = cost.found, cost.terms.currency
    if not cost.known:
        return []
    told = []
    pay = sum((one.amount for one in found.portions if one.what == "hours"), Decimal(0))
    if pay:
        told.append(("to you: hours and left", money(pay + found.left, currency)))
    if found.margin is not None and found.mark_up is not None:
        told.append(("margin, of the price", f"{found.margin} %"))
        told.append(("on top of the cost", f"{found.mark_up} %"))
    if found.asked and cost.terms.margin is not None:
        told.append((f"to keep {cost.terms.margin} %, ask", money(found.proposed, currency)))
    return [(name, value.replace("-", "−")) for name, value in told]


def _wood_row(desk: Desk, one: WoodCost, currency: str) -> WoodRow:
    said, material = one.said, one.material
    if said is not None and said.cost is not None:
        words = "as you said"
    else:
        known = material.price
        paid = "" if known is None else f"{price(known, material.currency)}, "
        words = f"{paid}{one.share} %, {HOW[one.by]}"
    return WoodRow(
        material_id=material.id,
        label=label(material),
        parts=one.parts,
        words=words,
        amount="" if one.cost is None else money(one.cost, currency),
        missing=one.missing,
        used=None if said is None else nouns.pieces_used.show(desk, said),
        share="" if said is None or said.share is None else f"{said.share} %",
        cost="" if said is None or said.cost is None else figures(said.cost, said.currency),
    )


def _terms(brief: Brief, cost: Cost) -> TermsFields:
    currency = cost.terms.currency
    rate, asking = (
        "" if one is None else figures(one, currency)
        for one in (brief.hour_rate, brief.asking_price)
    )
    margin, commission = (
        "" if one is None else f"{one} %" for one in (brief.margin, brief.commission)
    )
    overhead = Overhead.read(brief.overhead)
    said = f"{figures(overhead.sum, currency)} {currency}" if overhead.sum else overhead.text
    return TermsFields(currency, rate, said, margin, commission, asking)
