"""The card that stands beside a piece at a show: one to a page, or two on a sheet to be cut."""

from __future__ import annotations

from io import BytesIO
from typing import NamedTuple

from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepInFrame, Spacer

from brief.paper.contents import Card, CardPaper
from brief.paper.page import (
    PAGES_MM,
    SOFT,
    Rule,
    credit_lines,
    picture_size,
    text,
    type_of,
)
from brief.printed import PrintedCanvas


class CardLayout(NamedTuple):
    """How a card lies on its paper: the page, the card, how many of them, all in millimetres."""

    page: tuple[float, float]
    card: tuple[float, float]
    copies: int


_ACROSS, _LETTER = PAGES_MM["A4"], PAGES_MM["Letter"]
CUTS: dict[CardPaper, CardLayout] = {
    "A5": CardLayout((210.0, 148.0), (210.0, 148.0), 1),
    "A6": CardLayout((148.0, 105.0), (148.0, 105.0), 1),
    "A4": CardLayout(_ACROSS, (_ACROSS[0], _ACROSS[1] / 2), 2),
    "Letter": CardLayout(_LETTER, (_LETTER[0], _LETTER[1] / 2), 2),
}
A5_MM = 210.0
PICTURE_SHARE = 0.42  # of the card's width, at most
CREDIT_SHARE = 0.5  # of its height, for the longest credit that there can be


def card_pdf(card: Card, paper: CardPaper = "A5") -> bytes:
    """The card on A5 or A6, or twice on A4 or Letter with marks to cut it by."""
    cut = CUTS[paper]
    page = (cut.page[0] * mm, cut.page[1] * mm)
    file = BytesIO()
    canvas = PrintedCanvas(file, title=card.title, subject="A card for a show", pagesize=page)
    for copy in range(cut.copies):
        canvas.saveState()
        canvas.translate(0, copy * cut.card[1] * mm)
        _draw(canvas, card, *cut.card)
        canvas.restoreState()
    for copy in range(1, cut.copies):
        cut_mark(canvas, page[0], copy * cut.card[1] * mm)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def _draw(canvas: Canvas, card: Card, wide_mm: float, high_mm: float) -> None:
    """One card: the picture on the left, the words on the right."""
    scale = wide_mm / A5_MM
    margin, inside = 14 * scale * mm, (high_mm - 28 * scale) * mm
    top, left = high_mm * mm - margin, margin
    if card.picture is not None:
        wide = wide_mm * PICTURE_SHARE * mm
        across, down = picture_size(card.picture, wide / mm, inside / mm)
        if card.credit is not None:
            # Under a narrow picture the credit may be wider than it.
            wide = max(across, wide / 2)
            style = type_of(max(5.6, 6.6 * scale), "Sans", textColor=SOFT)
            credit = KeepInFrame(
                wide, inside * CREDIT_SHARE, [credit_lines(card.credit, style)], mode="shrink"
            )
            said = credit.wrapOn(canvas, wide, inside * CREDIT_SHARE)[1] + 1.5 * mm
            across, down = picture_size(card.picture, across / mm, (inside - said) / mm)
            credit.drawOn(canvas, margin, top - down - said)
            left += max(across, wide) - across
        shows = f"Picture: {card.credit.title}" if card.credit else f"{card.title}: the instrument"
        with canvas.tagged("Figure", shows):
            canvas.drawImage(ImageReader(BytesIO(card.picture)), margin, top - down, across, down)
        left += across + 10 * scale * mm
    room = wide_mm * mm - left - margin
    frame = KeepInFrame(room, inside, _words(card, scale), mode="shrink")
    _, high = frame.wrapOn(canvas, room, inside)
    frame.drawOn(canvas, left, top - high)


def _words(card: Card, scale: float) -> list[Flowable]:
    """Title, maker, the theme's lines, and what it is made of."""
    # Small cards are held in the hand, so that their letters need not shrink as much as they do.
    size = scale**0.6
    words: list[Flowable] = [
        Rule(accent=True),
        Spacer(0, 3.5 * mm * scale),
        text(card.title, type_of(25 * size, leading=29 * size, spaceAfter=3)),
    ]
    if card.instrument:
        words.append(text(card.instrument, type_of(11.5 * size)))
    if card.maker:
        words.append(text(card.maker, type_of(11.5 * size, "SerifItalic")))
    if card.lines:
        words.append(Spacer(0, 4.5 * mm * scale))
        words.append(text(card.lines, type_of(13 * size, "SerifItalic", leading=18.5 * size)))
    if card.timber:
        words += [Spacer(0, 5 * mm * scale), Rule(), Spacer(0, 2.5 * mm * scale)]
        small = type_of(9.6 * size, leading=13 * size, spaceAfter=1.8)
        words += [text(f"{parts}: {label}", small) for label, parts in card.timber]
    return words


def cut_mark(canvas: Canvas, across: float, at: float) -> None:
    """Short strokes at both edges, where the sheet is cut."""
    canvas.setStrokeColor(SOFT)
    canvas.setLineWidth(0.4)
    for start, end in ((0.0, 8 * mm), (across - 8 * mm, across)):
        canvas.line(start, at, end, at)
