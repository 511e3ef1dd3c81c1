"""A maker's own terms for one instrument: what an hour costs, overhead, margin, commission, price.

A brief counts in one currency. No rate of exchange is known here, so nothing is ever converted.
"""

from __future__ import annotations

from decimal import Decimal

from pydantic import BaseModel, Field
from sqlalchemy import func, select

from brief.english import agree, number_of
from brief.errors import InputError
from brief.money.amounts import check_currency, check_decimals, minor_units
from brief.money.costing import Overhead, Terms, check_shares
from brief.services.common.amounts import Currency, Price, PriceShare, check_amounts
from brief.services.common.field_types import Columns, Draft, Fields, Line, in_field
from brief.services.common.naming import label
from brief.store.desk import Desk
from brief.store.records import BoughtPart, Brief, Material, PieceUsed

MOST_TAKEN_FOR_A_SHARE = 100  # beside margin and commission, which are percent
TERMS = ("currency", "hour_rate", "overhead", "margin", "commission", "asking_price")
AMOUNTS = ("hour_rate", "asking_price")


class CostTerms(Draft):
    """The terms as they are sent; private, as all that follows from them."""

    currency: Currency | None = Field(
        None,
        description="ISO 4217; that of most of the rack if left out",
        examples=["GBP"],
    )
    hour_rate: Price | None = Field(None, description="What an hour at the bench costs")
    overhead: Line = Field(
        "",
        description="Rent, tools, insurance: a share of what the hours cost, or a sum",
        examples=["30 %", "400"],
    )
    margin: PriceShare | None = Field(
        None, description="What is to be left, percent of the asking price"
    )
    commission: PriceShare | None = Field(
        None, description="Of the show or the dealer, percent of the asking price"
    )
    asking_price: Price | None = Field(None, description="null: what the margin asks for")


class CostTermsView(BaseModel):
    """The terms as they are shown."""

    currency: str | None
    hour_rate: Price | None
    overhead: str
    margin: PriceShare | None
    commission: PriceShare | None
    asking_price: Price | None


def currency_of(desk: Desk, brief: Brief) -> str:
    """What a brief counts in: as it was said, or that of most of the rack."""
    return brief.currency or _of_the_rack(desk)


def terms_of(brief: Brief, currency: str) -> Terms:
    """The terms of a brief. Raises InputError, at the field, for what cannot be."""
    with in_field("overhead"):
        overhead = Overhead.read(brief.overhead)
    with in_field("margin"):
        return Terms(
            currency,
            brief.hour_rate,
            overhead,
            brief.margin,
            brief.commission,
            brief.asking_price,
        )


def keep_currency(desk: Desk, brief_id: str) -> None:
    """From its first amount on a brief counts in one currency, whatever becomes of the rack."""
    brief = desk.session.get_one(Brief, brief_id)
    if brief.currency is None:
        brief.currency = _of_the_rack(desk)
        desk.session.flush()


def check_same_currency(desk: Desk, record: BoughtPart | PieceUsed) -> None:
    """Raise InputError if its brief counts in another currency by now."""
    currency = currency_of(desk, desk.session.get_one(Brief, record.brief_id))
    if record.currency != currency:
        raise InputError(
            f"“{label(record)}” is in {record.currency}, and this brief counts in {currency} by "
            f"now. Go back to {record.currency} on Cost first, or add it again in {currency}."
        )


def settled_terms(desk: Desk, fields: Fields, record: Brief | None) -> Columns:
    """What to keep of the terms that were sent. Raises InputError at the field.

    For an amount in another currency or finer than its smallest coin, for margin and commission
    that take the whole price, and for another currency while amounts are in the present one.
    """
    if not fields.keys() & set(TERMS):
        return {}
    before = record.currency if record else None
    currency = fields.get("currency") or before or _of_the_rack(desk)
    kept: Columns = {"currency": fields.get("currency") or before}
    check_amounts(fields, currency, *AMOUNTS)
    if "overhead" in fields:
        with in_field("overhead"):
            kept["overhead"] = _overhead(fields["overhead"], currency)
    shares: list[Decimal | None] = [
        fields[name] if name in fields else getattr(record, name)
        for name in ("margin", "commission")
    ]
    with in_field("margin" if "margin" in fields else "commission"):
        check_shares(*shares)
    if kept.get("overhead") or any(fields.get(name) is not None for name in AMOUNTS):
        kept["currency"] = currency
    if record is not None and before not in (None, currency):
        _check_nothing_left_in(desk, record, fields)
    return kept


def _overhead(text: str, currency: str) -> str:
    found = Overhead.read(text)
    if found.sum:
        check_currency(text, currency)
        if found.sum <= MOST_TAKEN_FOR_A_SHARE and currency not in text.upper():
            number = text.strip()
            raise InputError(
                f"Is that {number} % of the hours, or {number} {currency} in all? "
                f"Write “{number} %” or “{number} {currency}”."
            )
        check_decimals(found.sum, currency)
    return found.text


def _check_nothing_left_in(desk: Desk, record: Brief, fields: Fields) -> None:
    """Amounts that are not sent along would become others."""
    left = [
        getattr(record, name) for name in AMOUNTS if name not in fields and getattr(record, name)
    ]
    if "overhead" not in fields and Overhead.read(record.overhead).sum:
        left.append(record.overhead)
    count = len(left) + sum(
        desk.session.scalar(
            select(func.count())
            .select_from(kind)
            .where(kind.brief_id == record.id, kind.binned_utc.is_(None), *those)
        )
        or 0
        for kind, those in ((BoughtPart, ()), (PieceUsed, (PieceUsed.cost.is_not(None),)))
    )
    if count:
        raise InputError.at(
            "currency",
            f"{number_of(count, 'amount')} of this brief {agree(count, 'is', 'are')} in "
            f"{record.currency}, and nothing is converted here. Stay with {record.currency}, or "
            f"remove {agree(count, 'it', 'them')} first.",
        )


def _of_the_rack(desk: Desk) -> str:
    """The currency of most of its pieces that have a price; EUR where none has one."""
    counted = desk.session.execute(
        select(Material.currency, func.count())
        .where(Material.price.is_not(None), Material.binned_utc.is_(None))
        .group_by(Material.currency)
        .order_by(func.count().desc(), Material.currency)
    )
    for currency, _ in counted:
        try:
            minor_units(currency)
        except InputError:  # kept before currencies were checked
            continue
        return str(currency)
    return "EUR"
