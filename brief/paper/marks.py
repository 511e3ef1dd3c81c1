"""Marks at their places on a sheet, and the same sheet as PDF and as PNG.

A sheet that is one picture is laid out once, in millimetres from its upper left corner, as patches
of colour, photographs, frames and lines of text; two painters put them on paper and on pixels.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from brief.letters import Font, clean, embedded, font_file, runs

if TYPE_CHECKING:
    from PIL import ImageDraw

MM_PER_POINT = 25.4 / 72
LEADING = 1.3


@dataclass(frozen=True)
class ColourPatch:
    """A rectangle in a colour "#rrggbb", or with `jpeg` filled by a photograph, cut to it; with
    `dashed` only its edge in that colour. alt : what the photograph shows."""

    x: float
    y: float
    width: float
    height: float
    colour: str
    jpeg: bytes | None = None
    dashed: bool = False
    alt: str = ""


@dataclass(frozen=True)
class TextLine:
    """One line of text; y is its baseline, the size in points."""

    x: float
    y: float
    words: str
    font: Font
    size: float
    colour: str


Mark = ColourPatch | TextLine


@dataclass(frozen=True)
class MarkedSheet:
    """What is on one page, and its size, mm."""

    width: float
    height: float
    marks: tuple[Mark, ...]


def wide_mm(words: str, font: Font, size: float) -> float:
    """How wide a line of text is."""
    return sum(_wide(piece, face, size) for face, piece in runs(words, font))


def _wide(piece: str, font: Font, size: float) -> float:
    return float(embedded(font).stringWidth(piece, size)) * MM_PER_POINT


def wrapped(words: str, font: Font, size: float, room: float, most: int) -> list[str]:
    """Text in at most so many lines of a width, mm; what has no room is an ellipsis."""
    lines: list[str] = []
    for told in clean(words).strip().splitlines():
        lines += _broken(told.split(), font, size, room)
        if len(lines) > most:
            break
    if len(lines) <= most:
        return lines
    kept = lines[:most]
    if kept:
        last = kept[-1]
        while last and wide_mm(last + "…", font, size) > room:
            last = last[:-1]
        kept[-1] = last.rstrip(" ,;:.") + "…"
    return kept


def _broken(words: Sequence[str], font: Font, size: float, room: float) -> Iterator[str]:
    """Words in lines; one that is longer than a line is broken anywhere."""
    line = ""
    for word in words:
        longer = f"{line} {word}" if line else word
        if wide_mm(longer, font, size) <= room:
            line = longer
            continue
        if line:
            yield line
        line = word
        while wide_mm(line, font, size) > room and len(line) > 1:
            cut = next(
                (at for at in range(1, len(line)) if wide_mm(line[: at + 1], font, size) > room), 1
            )
            yield line[:cut]
            line = line[cut:]
    yield line


def as_pdf(sheets: Sequence[MarkedSheet], title: str) -> bytes:
    """The sheets as pages, with the fonts in it."""
    from reportlab.lib.units import mm
    from reportlab.lib.utils import ImageReader

    from brief.paper.page import cover
    from brief.printed import PrintedCanvas

    file = BytesIO()
    canvas = PrintedCanvas(file, title=title)
    known: dict[bytes, ImageReader] = {}
    for sheet in sheets:
        canvas.setPageSize((sheet.width * mm, sheet.height * mm))
        for mark in sheet.marks:
            canvas.saveState()
            if isinstance(mark, TextLine):
                canvas.setFillColor(mark.colour)
                at = mark.x * mm
                for font, piece in runs(clean(mark.words), mark.font):
                    embedded(font)
                    canvas.setFont(font, mark.size)
                    with canvas.tagged("P"):
                        canvas.drawString(at, (sheet.height - mark.y) * mm, piece)
                    at += _wide(piece, font, mark.size) * mm
            else:
                width, height = mark.width * mm, mark.height * mm
                canvas.translate(mark.x * mm, (sheet.height - mark.y) * mm - height)
                if mark.jpeg is not None:
                    reader = known.setdefault(mark.jpeg, ImageReader(BytesIO(mark.jpeg)))
                    with canvas.tagged("Figure", mark.alt):
                        cover(canvas, reader, width, height)
                elif mark.dashed:
                    canvas.setStrokeColor(mark.colour)
                    canvas.setLineWidth(0.6)
                    canvas.setDash(2.5, 2)
                    canvas.rect(0, 0, width, height)
                else:
                    canvas.setFillColor(mark.colour)
                    canvas.rect(0, 0, width, height, stroke=0, fill=1)
            canvas.restoreState()
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def as_png(sheet: MarkedSheet, width_px: int) -> bytes:
    """The sheet as a picture of that width, on white."""
    from PIL import Image, ImageDraw, ImageOps

    scale = width_px / sheet.width
    image = Image.new("RGB", (width_px, max(1, round(sheet.height * scale))), "white")
    draw = ImageDraw.Draw(image)
    for mark in sheet.marks:
        if isinstance(mark, TextLine):
            _write(draw, mark, scale)
            continue
        left, top = round(mark.x * scale), round(mark.y * scale)
        right = max(round((mark.x + mark.width) * scale), left + 1)
        low = max(round((mark.y + mark.height) * scale), top + 1)
        if mark.jpeg is not None:
            photo = Image.open(BytesIO(mark.jpeg)).convert("RGB")
            image.paste(ImageOps.fit(photo, (right - left, low - top)), (left, top))
        elif mark.dashed:
            _dash(draw, (left, top, right - 1, low - 1), mark.colour, scale)
        else:
            draw.rectangle((left, top, right - 1, low - 1), fill=mark.colour)
    file = BytesIO()
    image.save(file, "PNG", optimize=True)
    return file.getvalue()


def _write(draw: ImageDraw.ImageDraw, line: TextLine, scale: float) -> None:
    from PIL import ImageFont

    at = line.x * scale
    for font, piece in runs(clean(line.words), line.font):
        face = ImageFont.truetype(str(font_file(font)), line.size * MM_PER_POINT * scale)
        draw.text((at, line.y * scale), piece, line.colour, face, anchor="ls")
        at += _wide(piece, font, line.size) * scale


def _dash(
    draw: ImageDraw.ImageDraw, box: tuple[int, int, int, int], colour: str, scale: float
) -> None:
    left, top, right, low = box
    on, step = max(2, round(0.9 * scale)), max(3, round(1.6 * scale))
    for x in range(left, right, step):
        for y in (top, low):
            draw.line((x, y, min(x + on, right), y), colour, 1 + round(0.12 * scale))
    for y in range(top, low, step):
        for x in (left, right):
            draw.line((x, y, x, min(y + on, low)), colour, 1 + round(0.12 * scale))
