"""What the pieces of the rack cost that an instrument is made of, each by the share it uses."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from brief.instrument.model.cut_list import Cut, board_share, cut_list
from brief.services.common.finding import look_up
from brief.services.common.formatting import price
from brief.services.cost.pieces_used import pieces_used
from brief.services.instrument.dimensions import instrument_of
from brief.services.spec.parts import parts as every_part
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Part, PieceUsed

By = Literal["cut list", "not enough", "hand", "whole"]
WHOLE = Decimal(100)


@dataclass(frozen=True)
class WoodCost:
    """A piece of the rack, and what an instrument uses of it.

    parts : names. share : percent of the piece. by : how that is known; "whole" where it is not,
    "not enough" where the cut list asks for more than there is.
    cost : exactly; None where `missing` says what is not known.
    """

    material: Material
    parts: Sequence[str]
    share: Decimal
    by: By
    cost: Decimal | None
    missing: str
    said: PieceUsed | None


def wood_costs(desk: Desk, brief: Brief, currency: str) -> list[WoodCost]:
    """The pieces of a brief in the order of its parts, then those that no part has."""
    parts: dict[str, list[Part]] = {}
    for part in _parts(desk, brief):
        if part.material_id is not None:
            parts.setdefault(part.material_id, []).append(part)
    said = {one.material_id: one for one in pieces_used.page(desk, brief_id=brief.id)}
    cuts = cut_list(instrument_of(brief))
    found = []
    look_up(desk, Material, [*parts, *said])
    for material_id in dict.fromkeys([*parts, *said]):
        material = desk.session.get_one(Material, material_id)
        by: By
        its, known = parts.get(material_id, []), said.get(material_id)
        if known is not None and known.share is not None:
            share, by = known.share, "hand"
        else:
            share, by = _share(material, its, cuts)
        cost, missing = _cost(material, share, known, currency)
        names = [one.name for one in its]
        found.append(WoodCost(material, names, share, by, cost, missing, known))
    return found


def parts_without(desk: Desk, brief: Brief) -> list[str]:
    """The names of the parts that still have no piece."""
    return [part.name for part in _parts(desk, brief) if part.material_id is None]


def _parts(desk: Desk, brief: Brief) -> Sequence[Part]:
    return every_part.page(desk, brief_id=brief.id)


def _share(material: Material, parts: Sequence[Part], cuts: Sequence[Cut]) -> tuple[Decimal, By]:
    """In whole percent, rounded up as on Drawing; at most all of it."""
    if not material.length_mm or not material.width_mm:
        return WHOLE, "whole"
    its = [cut for part in parts for cut in cuts if cut.role == part.role]
    if {part.role for part in parts} != {cut.role for cut in its}:
        return WHOLE, "whole"  # the cut list does not have all of them, as no inlay
    share = board_share((material.length_mm, material.width_mm, material.thickness_mm), its)
    if share > 1:
        return WHOLE, "not enough"
    return Decimal(math.ceil(share * 100)), "cut list"


def _cost(
    material: Material, share: Decimal, said: PieceUsed | None, currency: str
) -> tuple[Decimal | None, str]:
    """What it costs, or what is missing to know."""
    if said is not None and said.cost is not None and said.currency == currency:
        return said.cost, ""
    if material.price is None:
        return None, "has no price"
    if material.price and material.currency != currency:
        paid = price(material.price, material.currency)
        return None, f"cost {paid}, and this brief counts in {currency}"
    return material.price * share / 100, ""
