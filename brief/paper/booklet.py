"""A brief as a booklet: everything that makes it, page after page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    KeepTogether,
    NextPageTemplate,
    PageBreak,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from brief.letters import clean, one_line, runs
from brief.paper.contents import Booklet, BookletPaper, Timber
from brief.paper.page import (
    ACCENT,
    HAIR,
    PAGES_MM,
    SOFT,
    Bars,
    Lines,
    Names,
    PaperBoard,
    PictureFlowable,
    Rule,
    SaidTable,
    SideBySide,
    SpokenParagraph,
    credit_lines,
    picture_size,
    text,
    type_of,
)
from brief.printed import MADE_BY, PrintedCanvas

LEFT_MM, RIGHT_MM, TOP_MM, FOOT_MM = 28.0, 24.0, 24.0, 27.0
BOARD_MM = (32.0, 21.0)
SAMPLE_MM = (42.0, 28.0)
PLATE_HIGH_MM = 150.0
DRAWING_HIGH_MM = 125.0
OPEN = "still open"


HEAD = type_of(25, leading=30, spaceBefore=9, spaceAfter=16)
NAME = type_of(14, leading=18, spaceAfter=2)
READ = type_of(11.5, leading=17, spaceAfter=8, rightIndent=16 * mm)
BODY = type_of(10.2, leading=14.4, spaceAfter=3)
VERSE = type_of(11.5, "SerifItalic", leading=17, leftIndent=8 * mm, rightIndent=16 * mm)
LATIN = type_of(9.6, "SerifItalic", leading=13)
SMALL = type_of(7.8, "Sans", leading=11, textColor=SOFT)
CREDIT = type_of(7.4, "Sans", leading=10.6, textColor=SOFT, spaceBefore=5)
NUMBER = type_of(8.6, "Sans", leading=11)
RIGHT = type_of(8.6, "Sans", leading=11, alignment=TA_RIGHT)


def booklet_pdf(booklet: Booklet, paper: BookletPaper = "A4") -> bytes:
    """The booklet on A4 or Letter. The same booklet makes the same bytes."""
    page = _Page(booklet, paper)
    file = BytesIO()
    document = BaseDocTemplate(
        file,
        pagesize=page.size,
        title=one_line(booklet.title),
        subject="A design brief",
        creator=MADE_BY,
        author="",
    )
    frame = Frame(
        LEFT_MM * mm,
        FOOT_MM * mm,
        page.wide,
        page.size[1] - (TOP_MM + FOOT_MM) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    document.addPageTemplates(
        [
            PageTemplate("cover", [frame], onPage=page.draw_cover, pagesize=page.size),
            PageTemplate("inside", [frame], onPage=page.draw_foot, pagesize=page.size),
        ]
    )
    sections = [list(part) for part in page.sections()]
    story: list[Flowable] = [NextPageTemplate("inside"), PageBreak()]
    for place, section in enumerate(filter(None, sections)):
        story += [PageBreak()] if place else []
        story += section
    document.build(story, canvasmaker=PrintedCanvas)
    return file.getvalue()


class _Page:
    """The pages of one booklet on one paper."""

    def __init__(self, booklet: Booklet, paper: BookletPaper) -> None:
        self.booklet = booklet
        across, down = PAGES_MM[paper]
        self.size = (across * mm, down * mm)
        self.wide_mm = across - LEFT_MM - RIGHT_MM
        self.wide = self.wide_mm * mm

    def draw_cover(self, canvas: Canvas, _document: Any) -> None:
        """The title and what it is for on the left, the instrument on the right."""
        across, down = self.size
        wide, high = picture_size(self.booklet.front, across / mm * 0.46, down / mm - 44)
        with canvas.tagged("Figure", f"{self.booklet.title}: {self.booklet.front_alt}"):
            canvas.drawImage(
                ImageReader(BytesIO(self.booklet.front)),
                across - 18 * mm - wide,
                (down - high) / 2,
                wide,
                high,
            )
        room = across - 18 * mm - wide - 10 * mm - LEFT_MM * mm
        top = down - 46 * mm
        canvas.setStrokeColor(ACCENT)
        canvas.setLineWidth(1.4)
        canvas.line(LEFT_MM * mm, top + 7 * mm, LEFT_MM * mm + 12 * mm, top + 7 * mm)
        facts = [
            part
            for name, value in self.booklet.facts
            if value
            for part in (text(name, SMALL), text(value, type_of(10.5, leading=14, spaceAfter=7)))
        ]
        low = _draw_down(canvas, facts, LEFT_MM * mm, None, room, foot=30 * mm)
        for points in (33, 29, 25, 21, 17, 14, 11, 9):
            title = [text(self.booklet.title, type_of(points, leading=points * 1.16))]
            if _height(title, room) < top - low - 10 * mm:
                break
        _draw_down(canvas, title, LEFT_MM * mm, top, room)

    def draw_foot(self, canvas: Canvas, _document: Any) -> None:
        """The title and the page's number."""
        canvas.setFillColor(SOFT)
        at, foot = LEFT_MM * mm, 14 * mm
        title = one_line(self.booklet.title)
        for font, piece in runs(title if len(title) < 80 else title[:79] + "…", "Sans"):
            canvas.setFont(font, 7.4)
            canvas.drawString(at, foot, piece)
            at += canvas.stringWidth(piece, font, 7.4)
        canvas.setFont("Sans", 7.4)
        canvas.drawRightString(LEFT_MM * mm + self.wide, foot, str(canvas.getPageNumber()))

    def sections(self) -> Iterable[Iterable[Flowable]]:
        yield self._theme()
        yield self._pictures()
        yield self._spec()
        yield self._pairings()
        yield self._numbers()
        yield self._comments()

    def _theme(self) -> Iterable[Flowable]:
        booklet = self.booklet
        yield from head("Theme")
        for paragraph in clean(booklet.theme).replace("\r\n", "\n").split("\n\n"):
            yield text(paragraph.strip() or "Not written down yet.", READ)
        for passage in booklet.passages:
            yield Spacer(0, 7 * mm)
            yield text(passage.words.strip(), VERSE)
            yield _indented(credit_lines(passage.credit, CREDIT))
        if booklet.motifs:
            yield Spacer(0, 10 * mm)
        for motif in booklet.motifs:
            strand: list[Flowable] = [Rule(), Spacer(0, 2.5 * mm), titled(motif.name)]
            if motif.says:
                strand.append(text(motif.says, BODY))
            if motif.colours:
                strand += [Spacer(0, 1 * mm), Names(motif.colours)]
            yield KeepTogether([*strand, Spacer(0, 4 * mm)])

    def _pictures(self) -> Iterable[Flowable]:
        booklet = self.booklet
        if not (booklet.plates or booklet.strips or booklet.named):
            return
        yield from head("Pictures and colours" if booklet.plates else "Colours")
        for plate in booklet.plates:
            whole: list[Flowable] = [
                PictureFlowable(
                    plate.jpeg, self.wide_mm, PLATE_HIGH_MM, f"Picture: {plate.credit.title}"
                ),
                credit_lines(plate.credit, CREDIT),
            ]
            if plate.lost:
                said = f"The file of this picture, “{plate.lost}”, is missing or damaged."
                whole.append(text(said, SMALL))
            if plate.motifs:
                whole.append(text(plate.motifs, SMALL))
            for strip in plate.strips:
                whole += [Spacer(0, 3 * mm), Bars(strip.colours, 9), Spacer(0, 1.5 * mm)]
                whole.append(Names(strip.colours))
            yield KeepTogether([*whole, Spacer(0, 11 * mm)])
        for strip in booklet.strips:
            yield KeepTogether(
                [
                    titled(strip.name),
                    text("Pulled out of a picture that is not printed here.", SMALL),
                    Spacer(0, 2 * mm),
                    Bars(strip.colours, 9),
                    Spacer(0, 1.5 * mm),
                    Names(strip.colours),
                    Spacer(0, 8 * mm),
                ]
            )
        if booklet.named:
            yield KeepTogether(
                [
                    titled("The colours of the theme"),
                    Spacer(0, 1.5 * mm),
                    Bars(booklet.named, 14),
                    Spacer(0, 2 * mm),
                    Names(booklet.named),
                ]
            )

    def _spec(self) -> Iterable[Flowable]:
        yield from head("Spec")
        for part in self.booklet.parts:
            made: list[Flowable] = [text(part.name, type_of(12, leading=15, spaceAfter=1.5))]
            made.append(text(part.made_of or OPEN, BODY if part.made_of else LATIN))
            if part.species:
                made.append(text(part.species, LATIN))
            note = part.sizes and f"Note: {part.sizes}"
            care = part.care and f"Take care: {part.care}"
            said = (part.finish, part.drawn, note, care)
            made += [text(words, SMALL) for words in said if words]
            meant: list[Flowable] = []
            if part.meant_for:
                meant += [text("to match", SMALL), Names([part.meant_for])]
            if part.motif:
                meant.append(text(f"for {part.motif}", SMALL))
            yield row(
                [PaperBoard(part.timber, *BOARD_MM, f"The wood: {part.made_of}"), made, meant],
                [BOARD_MM[0] + 6, self.wide_mm - BOARD_MM[0] - 6 - 44, 44],
            )
        if any(part.care for part in self.booklet.parts):
            yield text(self.booklet.reminder, SMALL)

    def _pairings(self) -> Iterable[Flowable]:
        if not (self.booklet.pairs or self.booklet.whole):
            return
        yield from head("Pairings")
        yield text("How far two colours lie apart is given in CIEDE2000.", SMALL)
        yield Spacer(0, 3 * mm)
        for pair in self.booklet.pairs:
            said: list[Flowable] = [text(pair.title, type_of(12, leading=15, spaceAfter=1.5))]
            if pair.place:
                said.append(text(pair.place, SMALL))
            said += [Spacer(0, 1.2 * mm), text(pair.sentence, BODY)]
            shown = Timber(pair.sample, None) if pair.sample else None
            sample = PaperBoard(shown, *SAMPLE_MM, f"How it looks: {pair.title}")
            yield row([sample, said], [SAMPLE_MM[0] + 7, self.wide_mm - SAMPLE_MM[0] - 7])
        if self.booklet.whole:
            whole = [text(sentence, BODY) for sentence in self.booklet.whole]
            yield KeepTogether([Spacer(0, 6 * mm), titled("The whole"), *whole])

    def _numbers(self) -> Iterable[Flowable]:
        yield from head("Drawing")
        yield Lines(self.booklet.drawing, self.wide_mm, DRAWING_HIGH_MM)
        yield Spacer(0, 2 * mm)
        yield text("Front, side and back, made smaller. Lengths in millimetres.", SMALL)
        yield Spacer(0, 3 * mm)
        half = self.wide / 2
        lists = [self._numbers_of(*one, half - 6 * mm) for one in self.booklet.numbers]
        for place in range(0, len(lists), 2):
            beside = lists[place + 1] if place + 1 < len(lists) else ""
            yield Table(
                [[lists[place], beside]], colWidths=[half + 6 * mm, half - 6 * mm], style=_PLAIN
            )
        yield text(self.booklet.printed, SMALL)

    def _numbers_of(
        self, part: str, numbers: Sequence[tuple[str, str]], wide: float
    ) -> list[Flowable]:
        rows = [[text(label, NUMBER), text(value, RIGHT)] for label, value in numbers]
        table = SaidTable(rows, colWidths=[wide - 18 * mm, 18 * mm], style=LINES, hAlign="LEFT")
        return [titled(part), table, Spacer(0, 5 * mm)]

    def _comments(self) -> Iterable[Flowable]:
        if not self.booklet.comments:
            return
        yield from head("Comments")
        for said in self.booklet.comments:
            about = f"{said.who}, about {said.about}"
            entry: list[Flowable] = [Rule(), Spacer(0, 2 * mm), text(about, SMALL)]
            entry.append(text(said.words, BODY))
            if said.outcome:
                entry.append(text(f"What was done: {said.outcome}", SMALL))
            yield KeepTogether([*entry, Spacer(0, 4 * mm)])


_PLAIN = [
    ("FONTNAME", (0, 0), (-1, -1), "Sans"),  # or it asks for one that is not embedded
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
]
LINES = [
    *_PLAIN,
    ("LINEBELOW", (0, 0), (-1, -1), 0.4, HAIR),
    ("TOPPADDING", (0, 0), (-1, -1), 1.6),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 2.6),
]


def head(words: str) -> list[Flowable]:
    """A heading under a stroke of the accent."""
    return [Rule(accent=True), _Marked(words, HEAD)]


class _Marked(SpokenParagraph):
    """A heading that stands in the PDF's own table of contents, too."""

    kind = "H1"

    def draw(self) -> None:
        self.canv.bookmarkPage(self.text)
        self.canv.addOutlineEntry(self.text, self.text)
        super().draw()


def titled(words: str) -> SpokenParagraph:
    """A smaller heading."""
    found = text(words, NAME)
    found.kind = "H2"
    return found


def row(cells: Sequence[Any], wide_mm: Sequence[float]) -> Flowable:
    """Things side by side under a hairline, all on one page."""
    style = [
        *_PLAIN,
        ("LINEABOVE", (0, 0), (-1, 0), 0.4, HAIR),
        ("RIGHTPADDING", (1, 0), (1, -1), 12),
        ("TOPPADDING", (0, 0), (-1, -1), 9),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 9),
    ]
    widths = [one * mm for one in wide_mm]
    # Split only if it is longer than a page.
    return KeepTogether([SideBySide([list(cells)], colWidths=widths, style=style, splitInRow=1)])


def _indented(paragraph: Paragraph) -> Paragraph:
    paragraph.style = paragraph.style.clone("indented", leftIndent=8 * mm)
    return paragraph


def _height(parts: Sequence[Flowable], wide: float) -> float:
    return float(sum(one.wrap(wide, 1e4)[1] + one.getSpaceAfter() for one in parts))


def _draw_down(
    canvas: Canvas,
    parts: Sequence[Flowable],
    left: float,
    top: float | None,
    wide: float,
    foot: float = 0.0,
) -> float:
    """Draw things below each other, from `top` down, or so that they end at `foot`.

    Returns where they begin.
    """
    high = _height(parts, wide)
    at = begins = foot + high if top is None else top
    for one in parts:
        at -= one.wrap(wide, 1e4)[1]
        one.drawOn(canvas, left, at)
        at -= one.getSpaceAfter()
    return begins
