"""Leaves of one column with a number at the foot of each, for what is told from top to bottom."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from io import BytesIO
from typing import TYPE_CHECKING, Any

from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from brief.letters import one_line
from brief.paper.booklet import FOOT_MM, TOP_MM
from brief.paper.contents import BookletPaper
from brief.paper.page import PAGES_MM, SOFT
from brief.printed import MADE_BY, PrintedCanvas

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


def leaves_pdf(
    story: Callable[[float], Iterable[Flowable]],
    paper: BookletPaper,
    *,
    title: str,
    subject: str,
    margin_mm: float,
) -> bytes:
    """The leaves as PDF. story : what is told in a column of that width, mm. The same story makes
    the same bytes.
    """
    across, down = PAGES_MM[paper]
    file = BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=(across * mm, down * mm),
        title=one_line(title),
        subject=subject,
        creator=MADE_BY,
        author="",
    )
    wide = across - 2 * margin_mm
    frame = Frame(
        margin_mm * mm,
        FOOT_MM * mm,
        wide * mm,
        (down - TOP_MM - FOOT_MM) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )

    def number(canvas: Canvas, _document: Any) -> None:
        canvas.setFillColor(SOFT)
        canvas.setFont("Sans", 7.4)
        canvas.drawString(margin_mm * mm, 14 * mm, str(canvas.getPageNumber()))

    document.addPageTemplates([PageTemplate("all", [frame], onPage=number)])
    document.build(list(story(wide)), canvasmaker=PrintedCanvas)
    return file.getvalue()
