"""The passport of an instrument: its materials by name, part, weight and source."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, PageTemplate, Spacer

from brief.letters import one_line
from brief.paper.booklet import BOARD_MM, BODY, FOOT_MM, LATIN, SMALL, TOP_MM, head, row, titled
from brief.paper.contents import BookletPaper, Passport, PassportLine
from brief.paper.page import PAGES_MM, SOFT, Board, text
from brief.printed import MADE_BY, PrintedCanvas

MARGIN_MM = 24.0


def passport_pdf(passport: Passport, paper: BookletPaper = "A4") -> bytes:
    """The passport on A4 or Letter. The same passport makes the same bytes."""
    across, down = PAGES_MM[paper]
    file = BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=(across * mm, down * mm),
        title=one_line(f"{passport.title}: materials"),
        subject="Materials of an instrument",
        creator=MADE_BY,
        author="",
    )
    frame = Frame(
        MARGIN_MM * mm,
        FOOT_MM * mm,
        (across - 2 * MARGIN_MM) * mm,
        (down - TOP_MM - FOOT_MM) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates([PageTemplate("all", [frame], onPage=_draw_number)])
    document.build(list(_story(passport, across - 2 * MARGIN_MM)), canvasmaker=PrintedCanvas)
    return file.getvalue()


def _draw_number(canvas: Canvas, _document: Any) -> None:
    canvas.setFillColor(SOFT)
    canvas.setFont("Sans", 7.4)
    canvas.drawString(MARGIN_MM * mm, 14 * mm, str(canvas.getPageNumber()))


def _story(passport: Passport, wide_mm: float) -> Iterable[Flowable]:
    yield from head(passport.title)
    for name, value in passport.facts:
        yield text(f"{name}: {value}", BODY)
    yield Spacer(0, 4 * mm)
    for line in passport.lines:
        yield row(
            [Board(line.timber, *BOARD_MM, f"The wood: {line.name}"), _told(line)],
            [BOARD_MM[0] + 6, wide_mm - BOARD_MM[0] - 6],
        )
    for title, those in (
        ("Finishes", passport.finishes),
        ("Papers to ask about", passport.documents),
    ):
        if those:
            said = [text(f"{name}: {words}", BODY) for name, words in those]
            yield KeepTogether([Spacer(0, 6 * mm), titled(title), *said[:2]])
            yield from said[2:]
    yield Spacer(0, 5 * mm)
    yield text(passport.decides, BODY)
    yield text(passport.printed, SMALL)


def _told(line: PassportLine) -> list[Flowable]:
    told: list[Flowable] = [titled(line.name), text(line.botanical, LATIN)]
    return told + [text(f"{name}: {words}", SMALL) for name, words in line.facts]
