"""A sheet to take to the saw: a board's photograph with its blanks, and where each of them is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import partial
from io import BytesIO

from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Spacer

from brief.letters import embedded, printable
from brief.paper.booklet import BODY, LINES, NUMBER, RIGHT, SMALL, head, titled
from brief.paper.contents import BookletPaper, SawnBoard, SawnMark
from brief.paper.leaves import leaves_pdf
from brief.paper.page import HAIR, SaidTable, text

MARGIN_MM, HIGH_MM = 18.0, 135.0
EDGE, LEFT_OUT, OFFCUT, DARK = "#ffffff", "#c2185b", "#1f1c18", "#1f1c18"
Points = Sequence[tuple[float, float]]


def sawing_pdf(board: SawnBoard, paper: BookletPaper = "A4") -> bytes:
    """The sheet on A4 or Letter. The same board makes the same bytes."""
    return leaves_pdf(
        partial(_story, board),
        paper,
        title=f"{board.label}: where to saw",
        subject="What a board yields",
        margin_mm=MARGIN_MM,
    )


def _story(board: SawnBoard, wide_mm: float) -> Iterable[Flowable]:
    yield from head(f"{board.label}: where to saw")
    picture = _Sawn(board, wide_mm, HIGH_MM)
    yield picture
    yield Spacer(0, 2 * mm)
    yield text(
        f"Drawn 1 : {picture.smaller:.1f}, not to measure from. Lengths in millimetres, measured "
        "from the corner marked 0, along the board and across it.",
        SMALL,
    )
    yield Spacer(0, 3 * mm)
    yield text(board.sentence, BODY)
    if board.rows:
        rights = [NUMBER, NUMBER, *[RIGHT] * (len(board.heads) - 2)]
        rows = [
            [text(cell, style) for cell, style in zip(row, rights, strict=True)]
            for row in (board.heads, *board.rows)
        ]
        shares = [0.07, 0.37, *[0.56 / (len(board.heads) - 2)] * (len(board.heads) - 2)]
        yield SaidTable(
            rows,
            colWidths=[wide_mm * share * mm for share in shares],
            style=LINES,
            repeatRows=1,
        )
        yield Spacer(0, 3 * mm)
    for line in board.told:
        yield text(line, SMALL)
    yield Spacer(0, 2 * mm)
    yield titled("Before you saw")
    for line in board.notes:
        yield text(line, BODY)
    yield text(board.printed, SMALL)


class _Sawn(Flowable):  # type: ignore[misc]
    """The board's photograph with its blanks; `smaller` is how many times."""

    def __init__(self, board: SawnBoard, wide_mm: float, high_mm: float) -> None:
        super().__init__()
        self.board = board
        across, down = board.shows_mm
        self.smaller = max(across / wide_mm, down / high_mm)
        self.scale = mm / self.smaller
        self.width, self.height = across * self.scale, down * self.scale

    def wrap(self, _available: float, _height: float) -> tuple[float, float]:
        """Its size, whatever room there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        canvas, board = self.canv, self.board
        with canvas.tagged("Figure", f"{board.label} with its blanks. {board.sentence}"):
            canvas.saveState()
            if board.jpeg is not None:
                jpeg = ImageReader(BytesIO(board.jpeg))
                canvas.drawImage(jpeg, 0, 0, self.width, self.height)
            else:
                canvas.setFillColor(board.hex or HAIR)
                canvas.rect(0, 0, self.width, self.height, stroke=0, fill=1)
            for ring in board.outlines:
                self._ring(ring, EDGE, 0.8)
            for ring in board.left_out:
                self._ring(ring, LEFT_OUT, 0.8, dashes=(3, 2))
            for one in board.offcuts:
                self._ring(one.corners, EDGE, 1.6)
                self._ring(one.corners, OFFCUT, 0.6, dashes=(2, 3))
            for one in board.blanks:
                self._ring(one.corners, EDGE, 2.2)
                self._ring(one.corners, DARK, 0.9)
            for one in (*board.offcuts, *board.blanks):
                self._words(one)
            self._origin()
            canvas.restoreState()

    def _at(self, point: tuple[float, float]) -> tuple[float, float]:
        return point[0] * self.scale, self.height - point[1] * self.scale

    def _ring(self, ring: Points, colour: str, width: float, dashes: tuple[int, ...] = ()) -> None:
        canvas = self.canv
        canvas.setStrokeColor(colour)
        canvas.setLineWidth(width)
        canvas.setDash(*([list(dashes)] if dashes else []))
        path = canvas.beginPath()
        (x, y), *others = (self._at(point) for point in ring)
        path.moveTo(x, y)
        for x, y in others:
            path.lineTo(x, y)
        path.close()
        canvas.drawPath(path)

    def _words(self, one: SawnMark) -> None:
        """With a light edge round each letter, so that any wood lets them be read."""
        canvas, size = self.canv, max(5.0, one.high_mm * self.scale)
        embedded("Sans")
        words = printable(one.words, "Sans")
        wide = canvas.stringWidth(words, "Sans", size)
        for mode in (1, 0):  # ReportLab takes mode 0 for what is set at first
            canvas.saveState()
            canvas.translate(*self._at(one.at))
            canvas.rotate(-one.turn_deg)
            canvas.setDash()
            canvas.setLineWidth(size / 5)
            canvas.setLineJoin(1)
            canvas.setStrokeColor(EDGE)
            canvas.setFillColor(DARK)
            drawn = canvas.beginText(-wide / 2, -size * 0.35)
            drawn.setFont("Sans", size)
            drawn.setTextRenderMode(mode)
            drawn.textOut(words)
            canvas.drawText(drawn)
            canvas.restoreState()

    def _origin(self) -> None:
        """The corner that is measured from, with a short stroke along the board and across."""
        canvas, start = self.canv, self._at(self.board.origin[0])
        for colour, width in ((EDGE, 3.2), (LEFT_OUT, 1.4)):
            canvas.setStrokeColor(colour)
            canvas.setLineWidth(width)
            for end in map(self._at, self.board.origin[1:]):
                share = 5 * mm / max(1.0, math.dist(start, end))
                x, y = (a + (b - a) * share for a, b in zip(start, end, strict=True))
                canvas.line(*start, x, y)
        self._words(SawnMark((), self.board.origin[0], "0", 9 / self.scale, 0.0))
