"""`brief cost`: what an instrument costs, and what is left of its price."""

from __future__ import annotations

from pathlib import Path

from brief.cli.find_brief import called, opened
from brief.cli.terminal import print_json
from brief.money.amounts import money
from brief.money.picture import NAMES
from brief.services import nouns
from brief.services.cost.cost import cost_of, worth_words
from brief.services.cost.cost_view import cost_view


def print_cost(home: Path | None, wanted: str, *, as_json: bool) -> None:
    """Print where the asking price of a brief goes, and what is missing to know.

    wanted : as `called` has it. Raises InputError for terms that cannot be.
    """
    with opened(home) as store, store.desk() as desk:
        brief = called(nouns.briefs.page(desk), wanted)
        cost = cost_of(desk, brief)
        view = cost_view(brief, cost)
    if as_json:
        print_json(view.model_dump(mode="json"))
        return
    print(view.sentence)
    if cost.known:
        amounts = [(NAMES[one.what], money(one.amount, view.currency)) for one in view.portions]
        amounts.append(("asking price", money(view.asking_price, view.currency)))
        wide = max(len(amount) for _, amount in amounts)
        for name, amount in amounts:
            print(f"{name:<13}{amount:>{wide}}")
    if worth := worth_words(cost):
        print(f"{worth} There are {cost.hours and cost.hours.likely} h.")
    for one in view.missing:
        print(f"Missing: {one}")
    print("VAT, import duty and carriage are not known here. Only you see this.")
