"""What is read at the stand: a caption beside the instrument, and a price list."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.units import mm
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepInFrame,
    PageTemplate,
    Spacer,
)

from brief.letters import one_line
from brief.paper.booklet import head
from brief.paper.card import CUTS, cut_mark
from brief.paper.contents import BookletPaper, Caption, CardPaper, PriceList
from brief.paper.page import HAIR, PAGES_MM, Rule, SaidTable, SpokenParagraph, marked, text, type_of
from brief.printed import MADE_BY, PrintedCanvas

A5_MM, MARGIN_MM = 210.0, 16.0
SIDE_MM, TOP_MM = 30.0, 28.0


def caption_pdf(caption: Caption, paper: CardPaper = "A5") -> bytes:
    """The caption on A5 or A6, or twice on A4 or Letter with marks to cut it by. What is too long
    for its card is set smaller. The same caption makes the same bytes.
    """
    cut = CUTS[paper]
    page = (cut.page[0] * mm, cut.page[1] * mm)
    file = BytesIO()
    title = f"{caption.title}: caption"
    canvas = PrintedCanvas(file, title=title, subject="A caption for the stand", pagesize=page)
    across, down = cut.card
    scale = across / A5_MM
    margin = MARGIN_MM * scale * mm
    for copy in range(cut.copies):
        wide, high = across * mm - 2 * margin, down * mm - 2 * margin
        frame = KeepInFrame(wide, high, _words(caption, scale), mode="shrink")
        _, used = frame.wrapOn(canvas, wide, high)
        frame.drawOn(canvas, margin, (copy * down + down) * mm - margin - used)
        if copy:
            cut_mark(canvas, page[0], copy * down * mm)
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def _words(caption: Caption, scale: float) -> list[Flowable]:
    size = scale**0.6  # small cards are held in the hand
    told: list[Flowable] = [
        Rule(accent=True),
        Spacer(0, 3.5 * mm * scale),
        text(caption.title, type_of(27 * size, leading=31 * size, spaceAfter=3)),
    ]
    if caption.instrument:
        told.append(text(caption.instrument, type_of(13 * size)))
    if caption.words:
        told.append(Spacer(0, 4 * mm * scale))
        told.append(text(caption.words, type_of(13 * size, "SerifItalic", leading=18.5 * size)))
    if caption.materials:
        told += [Spacer(0, 5 * mm * scale), Rule(), Spacer(0, 2.5 * mm * scale)]
        small = type_of(10.4 * size, leading=14.4 * size, spaceAfter=1.8)
        told += [_material(*one, small) for one in caption.materials]
    if caption.price:
        told += [Spacer(0, 4 * mm * scale), text(caption.price, type_of(15 * size))]
    return told


def _material(parts: str, name: str, botanical: str, style: Any) -> SpokenParagraph:
    said = marked(f"{parts}: {name}{', ' if botanical else ''}", style.fontName)
    latin = f'<font name="SerifItalic">{marked(botanical, "SerifItalic")}</font>'
    return SpokenParagraph(said + latin, style)


def price_list_pdf(listed: PriceList, paper: BookletPaper = "A4") -> bytes:
    """The price list on A4 or Letter. The same list makes the same bytes."""
    across, down = PAGES_MM[paper]
    file = BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=(across * mm, down * mm),
        title=one_line(f"{listed.title}: price list"),
        subject="Prices at the stand",
        creator=MADE_BY,
        author="",
    )
    wide = (across - 2 * SIDE_MM) * mm
    frame = Frame(
        SIDE_MM * mm,
        TOP_MM * mm,
        wide,
        (down - 2 * TOP_MM) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates([PageTemplate("all", [frame])])
    left = type_of(14, leading=19)
    right = type_of(14, leading=19, alignment=TA_RIGHT)
    rows = [[text(name, left), text(price, right)] for name, price in listed.lines]
    table = SaidTable(rows, colWidths=[wide * 0.66, wide * 0.34])
    table.setStyle(
        [
            ("FONTNAME", (0, 0), (-1, -1), "Serif"),  # or it asks for one that is not embedded
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, HAIR),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (0, -1), 0),
            ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), 7),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
        ]
    )
    story = [*head("Price list"), table]
    document.build(story, canvasmaker=PrintedCanvas)
    return file.getvalue()
