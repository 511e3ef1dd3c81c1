"""A plan as PDF at true size: tiled on A4 or Letter to be stuck together, or as one large page.

Notes, tables and the title block stand whole where the drawing leaves room (`packing`).
Every page to measure from has a square of 100 mm to check the printer by, and says what to do if
it is off.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence
from contextlib import nullcontext
from typing import TYPE_CHECKING

from brief.instrument.plans.draughting import fitting
from brief.instrument.plans.files.packing import PrintedPage, packed
from brief.instrument.plans.files.tiles import EDGE_MM, OVERLAP_MM, SQUARE_MM, Paper, Tiling, tiling
from brief.instrument.plans.plan import ACCENT, PENS, SOFT, Circle, Line, Plan, Shape, Words
from brief.letters import Font, embedded, printable
from brief.letters import lost_letters as lost

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from brief.printed import PrintedCanvas, Scope

POINT_MM = 25.4 / 72  # ISO 32000: user space has 72 units to the inch
CROSS_MM = 3.0
FONT: Font = "Sans"
DRAWING = "drawing"  # drawn once in the file, shown by every page
ADVICE = (
    "Print at 100 %, never “fit to page”. Before you cut, measure the square: 100 mm both ways.",
    "If both sides are off alike, print again at 100 × 100 / what you measured, in per cent "
    "(97 mm: 103.1 %).",
    "If the two sides differ, the printer stretches the paper: use another, or the DXF.",
)


def as_pdf(plan: Plan, paper: Paper = "A4") -> bytes:
    """The plan as a PDF, one page for each tile.

    Letters that the embedded font lacks (it has the Latin, Greek and Cyrillic ones) are replaced
    by a question mark; `lost_letters` tells which.

    Raises
    ------
    InputError
        For an unknown paper.
    """
    from brief.printed import PrintedCanvas

    laid = tiling(plan, paper)
    pages = packed(plan, laid)
    width, height = (side / POINT_MM for side in laid.page_mm)
    file = io.BytesIO()
    title = f"{plan.sheet}, {plan.block.instrument}"
    canvas = PrintedCanvas(
        file, title=title, subject="A drawing at true size", pagesize=(width, height)
    )
    embedded(FONT)
    canvas.beginForm(DRAWING, 0, -plan.height_mm, plan.width_mm, 0)
    for shape in plan.drawing:
        _draw(canvas, shape)
    canvas.endForm()
    for page in pages:
        # From here on millimetres, from the window's upper left corner; y still counts upwards.
        canvas.scale(1 / POINT_MM, 1 / POINT_MM)
        canvas.translate(EDGE_MM, laid.page_mm[1] - EDGE_MM)
        says = _place(pages, page)
        with canvas.tagged("Figure", f"{title}, {says}"):
            _draw_window(canvas, laid, pages, page)
            _draw_square(canvas, page)
        _draw_blocks(canvas, page.blocks)
        with canvas.tagged("P"):
            _draw_foot(canvas, plan, laid, pages, page)
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def lost_letters(plan: Plan) -> str:
    """The letters of a plan's words, each once, that its PDF cannot show."""
    return lost("".join(shape.text for shape in plan.shapes if isinstance(shape, Words)), (FONT,))


def _draw_window(
    canvas: Canvas, laid: Tiling, pages: Sequence[PrintedPage], page: PrintedPage
) -> None:
    """What the page shows of the drawing, and the marks by which it is laid on its neighbours."""
    width, height = laid.window_mm
    tile = page.tile
    if tile is not None:
        canvas.saveState()
        window = canvas.beginPath()
        window.rect(0, -height, width, height)
        canvas.clipPath(window, stroke=0)
        canvas.saveState()
        canvas.translate(-tile.left_mm, tile.top_mm)
        canvas.doForm(DRAWING)
        canvas.restoreState()
        canvas.setStrokeColor(ACCENT)
        canvas.setFillColor(ACCENT)
        canvas.setLineWidth(0.1)
        half = OVERLAP_MM / 2
        numbers = {one.tile: i for i, one in enumerate(pages, start=1)}
        for side, other in laid.beside(tile).items():
            says = f"page {numbers[other]}"
            if side in ("left", "right"):
                x = half if side == "left" else width - half
                _joint(canvas, (x, 0.0), (x, height), says)
            else:
                y = half if side == "above" else height - half
                _joint(canvas, (0.0, y), (width, y), says)
        canvas.restoreState()
    canvas.setStrokeColor(SOFT)
    canvas.setLineWidth(0.1)
    canvas.rect(0, -height, width, height)


def _draw_blocks(canvas: PrintedCanvas, shapes: Sequence[Shape]) -> None:
    """Notes, tables and the title block: each line a paragraph, or the cell of a table."""
    for part in _parts(shapes):
        first = part[0][0]
        if not (isinstance(first, Words) and first.cell):
            for shape in part[0]:
                with canvas.tagged("P") if isinstance(shape, Words) else nullcontext():
                    _draw(canvas, shape)
            continue
        with canvas.grouped("Table"):
            for row in part:
                with canvas.grouped("TR"):
                    for i, shape in enumerate(row):
                        head = part[0] is row or i == 0
                        scope: Scope | None = None
                        if head:
                            scope = "Column" if part[0] is row else "Row"
                        with canvas.tagged("TH" if head else "TD", scope=scope):
                            _draw(canvas, shape)


def _parts(shapes: Sequence[Shape]) -> list[list[list[Shape]]]:
    """The tables among them as rows of cells, and each other shape by itself."""
    parts: list[list[list[Shape]]] = []
    for shape in shapes:
        cell = shape.cell if isinstance(shape, Words) else None
        if cell is None or cell == (0, 0):
            parts.append([[shape]])
        elif cell[1] == 0:
            parts[-1].append([shape])
        else:
            parts[-1][-1].append(shape)
    return parts


def _joint(canvas: Canvas, start: tuple[float, float], end: tuple[float, float], says: str) -> None:
    """A dashed line where two pages meet, with crosses that both show, and what is there."""
    canvas.setDash(1, 2)
    canvas.line(start[0], -start[1], end[0], -end[1])
    canvas.setDash()
    length = math.dist(start, end)
    for i in range(int((length - 30) // 60) + 1):
        share = (30 + 60 * i) / length
        x, y = (a + (b - a) * share for a, b in zip(start, end, strict=True))
        canvas.line(x - CROSS_MM, -y, x + CROSS_MM, -y)
        canvas.line(x, -y - CROSS_MM, x, -y + CROSS_MM)
    canvas.saveState()
    canvas.setFont(FONT, 2.4)
    canvas.translate(start[0], -start[1])
    canvas.rotate(-90 if start[0] == end[0] else 0)
    canvas.drawString(length - 18, 0.8, says)
    canvas.restoreState()


def _draw_square(canvas: Canvas, page: PrintedPage) -> None:
    """The square, where the page has the least to be disturbed by it."""
    if page.square is None:
        return
    left, top = page.square
    canvas.setStrokeColor(ACCENT)
    canvas.setFillColor(ACCENT)
    canvas.setLineWidth(0.1)
    canvas.setDash()
    canvas.rect(left, -top - SQUARE_MM, SQUARE_MM, SQUARE_MM)
    canvas.setFont(FONT, 2.4)
    canvas.drawString(left + 2, -top - SQUARE_MM + 2, "100 mm × 100 mm")


def _place(pages: Sequence[PrintedPage], page: PrintedPage) -> str:
    """Which page it is, in words."""
    says, tile = f"page {pages.index(page) + 1} of {len(pages)}", page.tile
    if tile is None:
        return f"{says}: notes"
    return f"{says}: row {tile.row + 1}, column {tile.column + 1}"


def _draw_foot(
    canvas: Canvas, plan: Plan, laid: Tiling, pages: Sequence[PrintedPage], page: PrintedPage
) -> None:
    width, height = laid.window_mm
    block = plan.block
    what = (block.instrument, plan.sheet, f"revision {block.revision}", block.date)
    canvas.setFillColor(PENS["words"].colour)
    canvas.setFont(FONT, 2.6)
    canvas.drawString(0, -height - 4, fitting(printable(" · ".join(what), FONT), width - 60, 2.6))
    canvas.drawRightString(width, -height - 4, _place(pages, page))
    canvas.setFillColor(SOFT)
    canvas.setFont(FONT, 2.2)
    advice = ADVICE if plan.scale == 1 else (f"Drawn 1 : {plan.scale}: not to measure from.",)
    for i, line in enumerate(advice):
        canvas.drawString(0, -height - 7.6 - 3.1 * i, line)
    canvas.setStrokeColor(SOFT)
    canvas.setFillColor(ACCENT)
    for one in laid.tiles:  # a key: the page among its fellows
        x = width - 4 * (laid.columns - one.column)
        y = -height - 5.5 - min(4.0, 10.0 / laid.rows) * (one.row + 1)
        canvas.rect(x, y, 4, min(4.0, 10.0 / laid.rows), fill=one == page.tile)


def _draw(canvas: Canvas, shape: Shape) -> None:
    pen = PENS[shape.layer]
    canvas.setStrokeColor(pen.colour)
    canvas.setLineWidth(pen.width_mm)
    canvas.setDash(*([list(pen.dashes)] if pen.dashes else []))
    match shape:
        case Line():
            path = canvas.beginPath()
            (x, y), *others = shape.points
            path.moveTo(x, -y)
            for x, y in others:
                path.lineTo(x, -y)
            if shape.closed:
                path.close()
            canvas.drawPath(path)
        case Circle():
            x, y = shape.middle
            canvas.circle(x, -y, shape.radius_mm)
        case Words():
            canvas.saveState()
            canvas.setFillColor(pen.colour)
            canvas.setFont(FONT, shape.height_mm)
            canvas.translate(shape.at[0], -shape.at[1])
            canvas.rotate(90 if shape.upright else 0)
            draw = {
                "start": canvas.drawString,
                "middle": canvas.drawCentredString,
                "end": canvas.drawRightString,
            }[shape.anchor]
            draw(0, 0, printable(shape.text, FONT))
            canvas.restoreState()
