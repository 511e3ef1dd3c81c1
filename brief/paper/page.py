"""A printed page: its sizes, its inks and type, and what stands on it besides text.

White paper, dark ink, one accent. Lengths of pages and pictures are millimetres, type is points.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from io import BytesIO
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase.pdfmetrics import registerFontFamily, stringWidth
from reportlab.platypus import Flowable, Paragraph, Table

from brief.letters import Font, clean, embedded, runs
from brief.paper.colours import NamedColour
from brief.paper.contents import Credit, LineDrawing, Timber
from brief.printed import Kind

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

INK, SOFT, ACCENT, HAIR = "#1f1c18", "#655e54", "#9c3d22", "#d3ccc0"
PAGES_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}


def type_of(size: float, font: Font = "Serif", **more: Any) -> ParagraphStyle:
    """A style of text: its size in points, a font, and whatever else differs."""
    _families()
    given = {"leading": size * 1.42, "textColor": INK, "splitLongWords": 1} | more
    return ParagraphStyle(f"{font}{size}", fontName=font, fontSize=size, **given)


class SpokenParagraph(Paragraph):  # type: ignore[misc]
    """A paragraph that is read aloud as one, or as a heading."""

    kind: Kind = "P"

    def draw(self) -> None:
        """Draw it on the canvas."""
        with self.canv.tagged(self.kind):
            super().draw()


def text(words: str, style: ParagraphStyle) -> SpokenParagraph:
    """Plain words, each letter in a font that has it; markup in them stays words."""
    return SpokenParagraph(marked(words, style.fontName), style)


def marked(words: str, font: Font) -> str:
    """Plain words as the markup of a paragraph."""
    lines = clean(words).replace("\r\n", "\n").split("\n")
    return "<br/>".join(
        "".join(
            escape(piece) if face == font else f'<font name="{face}">{escape(piece)}</font>'
            for face, piece in runs(line, font)
        )
        for line in lines
    )


def credit_lines(credit: Credit, style: ParagraphStyle) -> Paragraph:
    """Title, author, source, licence: word for word as they were given."""
    font = style.fontName
    said = [marked(part, font) for part in (credit.author, credit.source) if part]
    licence = marked(credit.licence, font)
    if credit.uri:
        address = escape(clean(credit.uri), {'"': "&quot;"})
        licence += f' (<link href="{address}">{marked(credit.uri, font)}</link>)'
    title = "".join(
        f'<font name="{face}" size="{style.fontSize * 1.14:.2f}">{escape(piece)}</font>'
        for face, piece in runs(clean(credit.title), "SerifItalic")
    )
    return SpokenParagraph(" · ".join([title, *said, *([licence] if licence else [])]), style)


def picture_size(jpeg: bytes, wide_mm: float, high_mm: float) -> tuple[float, float]:
    """How large a picture becomes within a width and a height, in points, never cut."""
    width, height = ImageReader(BytesIO(jpeg)).getSize()
    scale = min(wide_mm * mm / width, high_mm * mm / height)
    return width * scale, height * scale


class SaidTable(Table):  # type: ignore[misc]
    """A table that is read aloud as one: rows that repeat on each page are the heads of its
    columns, and the first cell of any other is the head of its row.
    """

    def draw(self) -> None:
        """Draw it on the canvas."""
        self._renderCB = _said_of_table
        super().draw()


def _said_of_table(table: SaidTable, what: str, *given: Any) -> None:
    """Called by ReportLab at the start and the end of each thing."""
    match what:
        case "startTable":
            table.canv.begin("Table")
        case "startRow":
            table.canv.begin("TR")
        case "startCell":
            row, column, *_ = given
            if row < table.repeatRows:
                table.canv.begin("TH", "Column")
            elif column == 0:
                table.canv.begin("TH", "Row")
            else:
                table.canv.begin("TD")
        case "endTable" | "endRow" | "endCell":
            table.canv.end()


class SideBySide(Table):  # type: ignore[misc]
    """Things side by side that are one item of a list."""

    def draw(self) -> None:
        """Draw it on the canvas."""
        with self.canv.item():
            super().draw()


class Rule(Flowable):  # type: ignore[misc]
    """A short stroke of the accent above a heading, or a hairline across."""

    def __init__(self, accent: bool = False) -> None:
        super().__init__()
        self.accent = accent

    def wrap(self, available: float, _height: float) -> tuple[float, float]:
        """Its size in the room there is."""
        self.width = 12 * mm if self.accent else available
        return self.width, 1.0

    def draw(self) -> None:
        """Draw it on the canvas."""
        self.canv.setStrokeColor(ACCENT if self.accent else HAIR)
        self.canv.setLineWidth(1.4 if self.accent else 0.4)
        self.canv.line(0, 0, self.width, 0)


class PictureFlowable(Flowable):  # type: ignore[misc]
    """A whole picture within a width and a height, in millimetres; `alt` says what it shows."""

    def __init__(self, jpeg: bytes, wide_mm: float, high_mm: float, alt: str) -> None:
        super().__init__()
        self.jpeg, self.alt = jpeg, alt
        self.width, self.height = picture_size(jpeg, wide_mm, high_mm)

    def wrap(self, _available: float, _height: float) -> tuple[float, float]:
        """Its size, whatever room there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        with self.canv.tagged("Figure", self.alt):
            self.canv.drawImage(ImageReader(BytesIO(self.jpeg)), 0, 0, self.width, self.height)


class PaperBoard(Flowable):  # type: ignore[misc]
    """A piece of timber as a small board, `alt` says which; dashed and empty without one."""

    def __init__(self, timber: Timber | None, wide_mm: float, high_mm: float, alt: str) -> None:
        super().__init__()
        self.timber, self.alt = timber, alt
        self.width, self.height = wide_mm * mm, high_mm * mm

    def wrap(self, _available: float, _height: float) -> tuple[float, float]:
        """Its size, whatever room there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        canvas, timber = self.canv, self.timber
        if timber is None or (timber.jpeg is None and timber.hex is None):
            canvas.saveState()
            canvas.setStrokeColor(SOFT)
            canvas.setLineWidth(0.5)
            canvas.setDash(2, 2)
            canvas.rect(0, 0, self.width, self.height)
            canvas.restoreState()
            return
        with canvas.tagged("Figure", self.alt):
            canvas.saveState()
            if timber.jpeg is not None:
                cover(canvas, ImageReader(BytesIO(timber.jpeg)), self.width, self.height)
            else:
                canvas.setFillColor(timber.hex)
                canvas.rect(0, 0, self.width, self.height, stroke=0, fill=1)
            canvas.restoreState()


class Lines(Flowable):  # type: ignore[misc]
    """A drawing in lines at its own size, or smaller where a width and a height ask for it; mm."""

    def __init__(self, drawing: LineDrawing, wide_mm: float, high_mm: float) -> None:
        super().__init__()
        self.drawing = drawing
        self.scale = min(1.0, wide_mm / drawing.width_mm, high_mm / drawing.height_mm) * mm
        self.width = drawing.width_mm * self.scale
        self.height = drawing.height_mm * self.scale

    def wrap(self, _available: float, _height: float) -> tuple[float, float]:
        """Its size, whatever room there is."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        canvas = self.canv
        with canvas.tagged("Figure", "The instrument from the front, the side and the back"):
            canvas.saveState()
            canvas.setStrokeColor(INK)
            canvas.setLineWidth(0.35)
            for stroke in self.drawing.strokes:
                path = canvas.beginPath()
                (x, y), *others = (
                    (x * self.scale, self.height - y * self.scale) for x, y in stroke.points
                )
                path.moveTo(x, y)
                for x, y in others:
                    path.lineTo(x, y)
                if stroke.closed:
                    path.close()
                canvas.drawPath(path)
            canvas.restoreState()


class Bars(Flowable):  # type: ignore[misc]
    """Colours as one bar across, each as long as its share, and accents as discs behind it."""

    def __init__(self, colours: Sequence[NamedColour], high_mm: float) -> None:
        super().__init__()
        self.colours = colours
        self.height = high_mm * mm

    def wrap(self, available: float, _height: float) -> tuple[float, float]:
        """Its size in the room there is."""
        self.width = available
        return available, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        bars = [one for one in self.colours if not one.is_accent]
        accents = [one for one in self.colours if one.is_accent]
        shares = [1.0 if one.share is None else one.share for one in bars]
        wide = self.width - self.height * len(accents)
        left = 0.0
        for one, share in zip(bars, shares, strict=True):
            length = wide * share / sum(shares)
            self.canv.setFillColor(one.notation.hex)
            self.canv.rect(left, 0, length, self.height, stroke=0, fill=1)
            left += length
        for one in accents:
            left += self.height
            self.canv.setFillColor(one.notation.hex)
            half = self.height / 2
            self.canv.circle(left - 0.8 * half, half, 0.8 * half, stroke=0, fill=1)


class Names(Flowable):  # type: ignore[misc]
    """Colours by name in lines, each with a chip before it and its share behind it; the chip of
    an accent is round."""

    CHIP, GAP, LINE, SIZE = 3.2 * mm, 5.5 * mm, 5.2 * mm, 8.0

    def __init__(self, colours: Sequence[NamedColour]) -> None:
        super().__init__()
        self.colours = colours

    def wrap(self, available: float, _height: float) -> tuple[float, float]:
        """Its size in the room there is; lays out the names."""
        self.places: list[tuple[float, int, NamedColour, list[tuple[Font, str]]]] = []
        left, line = 0.0, 0
        for one in self.colours:
            share = f"  {one.share_words}" if one.share_words else ""
            words = _within(clean(one.name), share, available - self.CHIP - 1.5 * mm, self.SIZE)
            wide = self.CHIP + 1.5 * mm + sum(stringWidth(s, f, self.SIZE) for f, s in words)
            if left and left + wide > available:
                left, line = 0.0, line + 1
            self.places.append((left, line, one, words))
            left += wide + self.GAP
        self.width, self.height = available, self.LINE * (line + 1)
        return self.width, self.height

    def draw(self) -> None:
        """Draw it on the canvas."""
        with self.canv.tagged("P"):
            self._draw_names(self.canv)

    def _draw_names(self, canvas: Canvas) -> None:
        for left, line, one, words in self.places:
            foot = self.height - self.LINE * (line + 1) + 1.1 * mm
            canvas.setFillColor(one.notation.hex)
            half = self.CHIP / 2
            if one.is_accent:
                canvas.circle(left + half, foot - 0.5 * mm + half, half, stroke=0, fill=1)
            else:
                canvas.rect(left, foot - 0.5 * mm, self.CHIP, self.CHIP, stroke=0, fill=1)
            canvas.setFillColor(INK)
            at = left + self.CHIP + 1.5 * mm
            for font, piece in words:
                canvas.setFont(font, self.SIZE)
                canvas.drawString(at, foot, piece)
                at += stringWidth(piece, font, self.SIZE)


def _within(name: str, share: str, room: float, size: float) -> list[tuple[Font, str]]:
    """A name and its share in pieces that fit into a width; of a long name only its beginning."""
    shown = name
    while True:
        pieces = list(runs((name if shown == name else shown + "…") + share, "Sans"))
        if len(shown) < 2 or sum(stringWidth(s, f, size) for f, s in pieces) <= room:
            return pieces
        shown = shown[: len(shown) * 9 // 10]


def cover(canvas: Canvas, picture: ImageReader, width: float, height: float) -> None:
    """A photograph that fills a rectangle from the origin, points; the rest of it is cut off."""
    across, down = picture.getSize()
    scale = max(width / across, height / down)
    window = canvas.beginPath()
    window.rect(0, 0, width, height)
    canvas.clipPath(window, stroke=0)
    canvas.drawImage(
        picture,
        (width - across * scale) / 2,
        (height - down * scale) / 2,
        across * scale,
        down * scale,
    )


@cache
def _families() -> None:
    """Let paragraphs find the fonts by their names."""
    fonts: tuple[Font, ...] = ("Serif", "SerifItalic", "Sans")
    for font in fonts:
        embedded(font)
        registerFontFamily(font, normal=font, bold=font, italic=font, boldItalic=font)
