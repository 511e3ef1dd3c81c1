"""The strands of a theme as one sheet to hang up: A3 or A4 across, or one picture.

Laid out for A3; A4 is the same sheet smaller, with letters that shrink less.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brief.letters import Font
from brief.paper.contents import StrandPaper, StrandRow, StrandSheet, StrandTile
from brief.paper.marks import (
    LEADING,
    MM_PER_POINT,
    ColourPatch,
    Mark,
    MarkedSheet,
    TextLine,
    as_pdf,
    as_png,
    wrapped,
)
from brief.paper.page import ACCENT, HAIR, INK, SOFT

WIDE, HIGH, MARGIN = 420.0, 297.0, 14.0  # A3 across, ISO 216; mm
SCALE: dict[StrandPaper, float] = {"A3": 1.0, "A4": 0.5**0.5}
LETTERS: dict[StrandPaper, float] = {"A3": 1.0, "A4": 1.22}
# Where name, pictures, colours, pieces and parts are: mm from the left margin, and how wide.
COLUMNS = ((0.0, 54.0), (59.0, 138.0), (202.0, 27.0), (234.0, 76.0), (315.0, 77.0))
GAP = 1.6
BETWEEN = 6.5  # rows
TALL = {1: 1.0, 2: 1.3, 3: 1.7}  # how high a row is by its lines, as on the page
LOWEST, HIGHEST = 20.0, 60.0  # a row of one line
PNG_PX = 2480  # 150 to the inch of A3
MAT = "#e7e7e7"


def strand_sheet_pdf(sheet: StrandSheet, paper: StrandPaper) -> bytes:
    """The sheet as PDF; of many strands several pages."""
    pages = [_scaled(page, SCALE[paper]) for page in _laid_out(sheet, LETTERS[paper])]
    return as_pdf(pages, sheet.title)


def strand_sheet_png(sheet: StrandSheet, width_px: int = PNG_PX) -> bytes:
    """The sheet as one picture, as high as its strands ask for."""
    return as_png(_laid_out(sheet, 1.0, endless=True)[0], width_px)


def _laid_out(sheet: StrandSheet, letters: float, *, endless: bool = False) -> list[MarkedSheet]:
    """On pages of A3, or with `endless` on one that is as high as it needs."""
    room_wide = WIDE - 2 * MARGIN
    foot_size = 5.6 * letters
    foot = wrapped(sheet.foot, "Sans", foot_size, room_wide, 8)
    foot_high = len(foot) * foot_size * LEADING * MM_PER_POINT
    head, top = _head(sheet, letters)
    room = HIGH - MARGIN - foot_high - 3 - top
    unit = HIGHEST
    if not endless:
        weight = sum(TALL[row.tall] for row in sheet.rows) or 1.0
        unit = (room - BETWEEN * len(sheet.rows)) / weight
    unit = min(max(unit, LOWEST), 0.75 * HIGHEST if endless else HIGHEST)
    pages: list[list[Mark]] = [[*head]]
    y = top
    for row in sheet.rows:
        high = unit * TALL[row.tall]
        if not endless and y + BETWEEN + high > top + room + 0.1 and y > top:
            pages.append([*head])
            y = top
        pages[-1] += _row(row, y, high, letters)
        y += BETWEEN + high
    height = y + 3 + foot_high + MARGIN if endless else HIGH
    step = foot_size * LEADING * MM_PER_POINT
    for at, words in enumerate(foot):
        base = height - MARGIN - foot_high + (at + 0.8) * step
        pages[-1].append(TextLine(MARGIN, base, words, "Sans", foot_size, SOFT))
    return [MarkedSheet(WIDE, height, tuple(marks)) for marks in pages]


def _head(sheet: StrandSheet, letters: float) -> tuple[list[Mark], float]:
    """Title, theme and facts, and where they end."""
    title_wide = 120.0
    marks, low = _text(MARGIN, MARGIN, sheet.title, "Serif", 25 * letters, INK, title_wide, 2)
    left = MARGIN + title_wide + 8
    told, beside = _text(
        left, MARGIN + 1, sheet.theme, "Serif", 11 * letters, SOFT, WIDE - MARGIN - left, 3
    )
    facts, low = _text(
        MARGIN, max(low, beside) + 1.5, sheet.facts, "Sans", 7 * letters, SOFT, WIDE - 2 * MARGIN, 1
    )
    return [*marks, *told, *facts], low + 1.5


def _row(row: StrandRow, y: float, high: float, letters: float) -> Iterator[Mark]:
    """One strand below a hairline."""
    yield ColourPatch(MARGIN, y, WIDE - 2 * MARGIN, 0.2, HAIR)
    top = y + BETWEEN / 2
    (left, wide), *stages = [(MARGIN + left, wide) for left, wide in COLUMNS]
    name, low = _text(left, top - 1, row.name, "Serif", 15 * letters, INK, wide, 2)
    yield from name
    size = 8.6 * letters
    lines = int((top + high - low) / (size * LEADING * MM_PER_POINT))
    yield from _text(left, low + 0.4, row.says, "Serif", size, SOFT, wide, max(lines, 0))[0]
    tiles = (row.pictures, None, row.pieces, row.parts)
    for (x, across), lines_, end in zip(stages, tiles, row.ends, strict=True):
        said, kept = _end(x, top, across, high, end, letters, alone=not lines_ and not row.colours)
        yield from said
        if lines_ is None:
            yield from _colours(row.colours, x, top, across, kept, letters)
        else:
            yield from _tiles(lines_, x, top, across, kept, letters)


def _end(
    x: float, y: float, wide: float, high: float, words: str, letters: float, *, alone: bool
) -> tuple[list[Mark], float]:
    """Where a strand ends open, at the foot of its stage, and what height it leaves."""
    if not words:
        return [], high
    size = 7 * letters
    lines = wrapped(words, "Sans", size, wide - 3, 3)
    box = len(lines) * size * LEADING * MM_PER_POINT + 2
    top = y if alone else y + high - box
    marks: list[Mark] = [ColourPatch(x, top, wide, box, ACCENT, dashed=True)]
    text, _ = _text(x + 1.5, top + 0.7, words, "Sans", size, ACCENT, wide - 3, 3)
    return [*marks, *text], high - box - GAP


def _colours(
    colours: Sequence[tuple[str, str]],
    x: float,
    y: float,
    wide: float,
    high: float,
    letters: float,
) -> Iterator[Mark]:
    """One below the other on neutral ground, each with its name under it; of many in two rows."""
    if not colours:
        return
    yield ColourPatch(x, y, wide, high, MAT)
    across = 2 if len(colours) > 4 else 1
    down = -(-len(colours) // across)
    size = 6.8 * letters
    line = size * LEADING * MM_PER_POINT
    cell_wide, cell_high = (wide - 1) / across, (high - 1) / down
    for at, (name, colour) in enumerate(colours):
        left, top = x + 1 + at % across * cell_wide, y + 1 + at // across * cell_high
        yield ColourPatch(left, top, cell_wide - 1, max(cell_high - line - 1, 1), colour)
        foot = top + max(cell_high - line - 1, 1)
        yield from _text(left, foot, name, "Sans", size, INK, cell_wide - 1, 1)[0]


def _tiles(
    lines: Sequence[Sequence[StrandTile]],
    x: float,
    y: float,
    wide: float,
    high: float,
    letters: float,
) -> Iterator[Mark]:
    """Pictures, pieces or parts line by line, each line as wide as the stage."""
    if not lines:
        return
    each = (high - GAP * (len(lines) - 1)) / len(lines)
    for down, tiles in enumerate(lines):
        top, left = y + down * (each + GAP), x
        room, total = wide - GAP * (len(tiles) - 1), sum(one.wide for one in tiles)
        for tile in tiles:
            across = room * tile.wide / total
            yield from _tile(tile, left, top, across, each, letters)
            left += across + GAP


def _tile(
    tile: StrandTile, x: float, y: float, wide: float, high: float, letters: float
) -> Iterator[Mark]:
    if tile.words:
        size = 8.4 * letters
        lines = int((high - 1.5) / (size * LEADING * MM_PER_POINT))
        yield ColourPatch(x, y, 0.5, high, ACCENT)
        yield from _text(
            x + 2, y + 0.6, tile.words, "SerifItalic", size, INK, wide - 3, max(lines, 1)
        )[0]
        return
    size = 6.8 * letters
    line = size * LEADING * MM_PER_POINT
    name = wrapped(tile.name, "Sans", size, wide, 1 if tile.note else 2)
    note = wrapped(tile.note, "Sans", size, wide, 1)
    picture = max(high - line * len([*name, *note]) - (0.6 if name else 0), 2.0)
    if tile.jpeg is None and tile.hex is None:
        yield ColourPatch(x, y, wide, picture, SOFT, dashed=True)
    else:
        shows = tile.name or tile.note or "A picture of this strand"
        yield ColourPatch(x, y, wide, picture, tile.hex or MAT, tile.jpeg, alt=shows)
    base = y + picture + 0.8 * line + 0.4
    for at, (words, colour) in enumerate([*((n, INK) for n in name), *((n, SOFT) for n in note)]):
        yield TextLine(x, base + at * line, words, "Sans", size, colour)


def _text(
    x: float, y: float, words: str, font: Font, size: float, colour: str, room: float, most: int
) -> tuple[list[Mark], float]:
    """Lines of text from a height down, and where they end."""
    line = size * LEADING * MM_PER_POINT
    lines = wrapped(words, font, size, room, most)
    marks: list[Mark] = [
        TextLine(x, y + (at + 0.8) * line, one, font, size, colour) for at, one in enumerate(lines)
    ]
    return marks, y + len(lines) * line


def _scaled(sheet: MarkedSheet, by: float) -> MarkedSheet:
    """The same smaller."""
    if by == 1.0:
        return sheet
    return MarkedSheet(
        sheet.width * by,
        sheet.height * by,
        tuple(
            replace(mark, x=mark.x * by, y=mark.y * by, size=mark.size * by)
            if isinstance(mark, TextLine)
            else replace(
                mark,
                x=mark.x * by,
                y=mark.y * by,
                width=mark.width * by,
                height=mark.height * by,
            )
            for mark in sheet.marks
        ),
    )
