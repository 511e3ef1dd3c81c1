"""The caption and the price list of the stand gathered for paper."""

from __future__ import annotations

from brief.errors import InputError
from brief.paper.contents import BookletPaper, Caption, CardPaper, PriceList
from brief.services import nouns
from brief.services.trip.stand import stand_of
from brief.store.desk import Desk


def caption_pdf(desk: Desk, brief_id: str, paper: CardPaper) -> bytes:
    """The caption as PDF."""
    from brief.paper import stand

    found = stand_of(desk, nouns.briefs.get(desk, brief_id))
    return stand.caption_pdf(
        Caption(
            title=found.title,
            instrument=found.instrument,
            words=found.words,
            materials=tuple((one.parts_words, one.name, one.botanical) for one in found.materials),
            price=found.price,
        ),
        paper,
    )


def price_list_pdf(desk: Desk, brief_id: str, paper: BookletPaper) -> bytes:
    """The price list as PDF. Raises InputError while there is nothing on it."""
    from brief.paper import stand

    found = stand_of(desk, nouns.briefs.get(desk, brief_id))
    if not found.price_list:
        raise InputError("The price list is empty. Give a price, or other lines, on Trip first.")
    lines = tuple((one.name, one.price or "please ask") for one in found.price_list)
    return stand.price_list_pdf(PriceList(found.title, lines), paper)
