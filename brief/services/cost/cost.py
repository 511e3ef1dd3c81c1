"""What an instrument costs, what is left of its price, and what is missing to say so.

Private, always: nothing here is on a link, in the file by mail or on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from brief.english import agree, number_of, words
from brief.money.amounts import money, rounded
from brief.money.costing import Costing, Hours, Terms, costing
from brief.services.common.naming import label
from brief.services.cost.bought_parts import bought_parts
from brief.services.cost.wood import WoodCost, parts_without, wood_costs
from brief.services.run_up.expected import hours_at_bench
from brief.services.theme.cost_terms import currency_of, terms_of
from brief.store.desk import Desk
from brief.store.records import BoughtPart, Brief

MOST_NAMED = 3
# Where something is put right, and what that is called.
RUN_UP = ("run-up", "Run-up")
TERMS = ("cost#terms-fold", "Rate and price")
ADD = ("cost#add-bought", "Add it")


@dataclass(frozen=True)
class Missing:
    """What is missing, in words; where it is put right: a sheet with its place, and its name."""

    words: str
    at: str
    go: str


@dataclass(frozen=True)
class Cost:
    """All that the cost of a brief goes by, and what it comes to."""

    terms: Terms
    wood: Sequence[WoodCost]
    bought: Sequence[BoughtPart]
    hours: Hours | None
    found: Costing
    missing: Sequence[Missing]

    @property
    def known(self) -> bool:
        """Whether there is anything to show."""
        return self.found.price > 0 or self.found.cost > 0


@dataclass(frozen=True)
class CostGlance:
    """The cost at a glance, for the maker alone. asking_price, left : None while there is none."""

    currency: str
    asking_price: Decimal | None
    left: Decimal | None
    sentence: str
    missing: Sequence[str]


def cost_of(desk: Desk, brief: Brief) -> Cost:
    """What a brief costs by all that is known. Raises InputError for terms that cannot be."""
    terms = terms_of(brief, currency_of(desk, brief))
    wood = wood_costs(desk, brief, terms.currency)
    bought = bought_parts.page(desk, brief_id=brief.id)
    hours = hours_at_bench(desk, brief)
    counted = [one for one in bought if one.currency == terms.currency]
    of_wood = sum((one.cost for one in wood if one.cost is not None), Decimal(0))
    of_bought = sum((one.price * one.number for one in counted), Decimal(0))
    found = costing(terms, rounded(of_wood, terms.currency), of_bought, hours)
    missing = _missing(terms, wood, bought, hours, parts_without(desk, brief))
    return Cost(terms, wood, bought, hours, found, missing)


def cost_glance(desk: Desk, brief: Brief) -> CostGlance:
    """The same at a glance."""
    cost = cost_of(desk, brief)
    return CostGlance(
        currency=cost.terms.currency,
        asking_price=cost.found.price if cost.known else None,
        left=cost.found.left if cost.known else None,
        sentence=" ".join(in_words(cost)),
        missing=[one.words for one in cost.missing],
    )


def in_words(cost: Cost) -> tuple[str, str]:
    """What is left in a word or two, and the sentence that goes on from it."""
    found, currency = cost.found, cost.terms.currency
    if not cost.known:
        return "Open", "nothing has a price yet."
    asked = money(found.price, currency)
    of = f"of {asked} asked" if found.asked else f"of {asked}, which costs and margin ask for"
    uncounted = cost.hours is None or cost.terms.rate is None
    return left_words(found.left, currency), f"{of}{', before your hours' if uncounted else ''}."


def left_words(left: Decimal, currency: str) -> str:
    """What is left, or missing."""
    return f"{money(-left, currency)} short" if left < 0 else f"{money(left, currency)} left"


def spread_words(cost: Cost) -> str:
    """What is left if it goes quickly, and if slowly; "" where nothing depends on the hours."""
    found, currency = cost.found, cost.terms.currency
    if cost.hours is None or found.left_quick == found.left_slow:
        return ""
    return (
        f"If it goes quickly {left_words(found.left_quick, currency)}, "
        f"if slowly {left_words(found.left_slow, currency)}."
    )


def worth_words(cost: Cost) -> str:
    """What an hour is worth at the price; "" without hours or price."""
    if cost.hours is None or cost.found.hour_worth is None or not cost.known:
        return ""
    return f"At this price an hour is worth {money(cost.found.hour_worth, cost.terms.currency)}."


def _missing(
    terms: Terms,
    wood: Sequence[WoodCost],
    bought: Sequence[BoughtPart],
    hours: Hours | None,
    open_parts: Sequence[str],
) -> list[Missing]:
    found = []
    if hours is None and terms.rate is None:
        found.append(Missing("The hours: no stages yet, and no rate an hour.", *RUN_UP))
    elif hours is None:
        found.append(Missing("There is a rate, but no hours yet: begin the run-up.", *RUN_UP))
    elif terms.rate is None:
        found.append(Missing(f"There are {hours.likely} h, but no rate an hour yet.", *TERMS))
    if open_parts:
        said = words(open_parts) if len(open_parts) <= MOST_NAMED else f"{len(open_parts)} parts"
        no_piece = f"{said} still {agree(open_parts, 'has', 'have')} no piece."
        found.append(Missing(no_piece, "spec", "Spec"))
    for one in wood:
        if one.missing:
            at = f"cost#share-{one.material.id}"
            found.append(Missing(f"{label(one.material)} {one.missing}.", at, "Set it"))
    if not bought:
        found.append(Missing("Nothing bought yet: tuners, strings, case?", *ADD))
    elsewhere = [one for one in bought if one.currency != terms.currency]
    if elsewhere:
        many = number_of(len(elsewhere), "bought part")
        left_out = f"{many} in another currency {agree(elsewhere, 'is', 'are')} not counted."
        found.append(Missing(left_out, "cost#bought", "Bought"))
    if terms.margin is None and terms.asking is None:
        nothing = "No margin and no asking price yet: nothing is left over."
        found.append(Missing(nothing, *TERMS))
    return found
