"""What is printed: plain data, gathered elsewhere and laid out in the modules beside this one.

Pictures are JPEG without any data of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from brief.paper.colours import NamedColour

BookletPaper = Literal["A4", "Letter"]
CardPaper = Literal["A5", "A6", "A4", "Letter"]
StrandPaper = Literal["A3", "A4"]


@dataclass(frozen=True)
class Credit:
    """What is said under a picture or a passage: title, author, source, licence, address."""

    title: str
    author: str
    source: str
    licence: str
    uri: str


@dataclass(frozen=True)
class Stroke:
    """A line of a drawing through points, mm from its upper left; `closed` joins the ends."""

    points: tuple[tuple[float, float], ...]
    closed: bool


@dataclass(frozen=True)
class LineDrawing:
    """The instrument in lines; sizes in mm."""

    strokes: tuple[Stroke, ...]
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Timber:
    """How a piece looks: its photograph as JPEG, or only its colour "#rrggbb"."""

    jpeg: bytes | None
    hex: str | None


@dataclass(frozen=True)
class MotifOnPaper:
    """A motif with its colours."""

    name: str
    says: str
    colours: tuple[NamedColour, ...]


@dataclass(frozen=True)
class Passage:
    """A passage with its credit."""

    words: str
    credit: Credit


@dataclass(frozen=True)
class PaletteStrip:
    """One palette."""

    name: str
    colours: tuple[NamedColour, ...]


@dataclass(frozen=True)
class PrintedPicture:
    """A picture with its credit, what it stands for, and the palettes that were pulled of it.

    lost : the name of its file where that is missing or damaged, and `jpeg` something plain in
    its place.
    """

    jpeg: bytes
    credit: Credit
    motifs: str
    strips: tuple[PaletteStrip, ...]
    lost: str = ""


@dataclass(frozen=True)
class PartLine:
    """One part of the spec; `made_of` is empty while it is open. `drawn` are its sizes in the
    drawing, `sizes` the maker's notes on them, `care` its cautions in a few words."""

    name: str
    made_of: str
    species: str
    finish: str
    drawn: str
    sizes: str
    care: str
    timber: Timber | None
    meant_for: NamedColour | None
    motif: str


@dataclass(frozen=True)
class PairLine:
    """One pairing and its verdict; the sample is a JPEG of the inlay on its ground."""

    title: str
    place: str
    sentence: str
    sample: bytes | None


@dataclass(frozen=True)
class PrintedComment:
    """A comment."""

    who: str
    about: str
    words: str
    outcome: str


@dataclass(frozen=True)
class Booklet:
    """Everything that a booklet prints."""

    title: str
    facts: tuple[tuple[str, str], ...]
    front: bytes
    front_alt: str
    theme: str
    motifs: tuple[MotifOnPaper, ...]
    passages: tuple[Passage, ...]
    plates: tuple[PrintedPicture, ...]
    strips: tuple[PaletteStrip, ...]
    named: tuple[NamedColour, ...]
    whole: tuple[str, ...]
    parts: tuple[PartLine, ...]
    reminder: str
    pairs: tuple[PairLine, ...]
    drawing: LineDrawing
    numbers: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    comments: tuple[PrintedComment, ...]
    printed: str


@dataclass(frozen=True)
class Card:
    """What stands beside the piece at a show.

    picture : the instrument, or a reference with its credit. timber : what it is made of, and the
    parts that are made of it.
    """

    title: str
    instrument: str
    maker: str
    lines: str
    timber: tuple[tuple[str, str], ...]
    picture: bytes | None
    credit: Credit | None


@dataclass(frozen=True)
class StrandTile:
    """A picture, a piece or a part of a strand; `words` instead of it are a passage.

    jpeg : what fills it, cut to its room; hex : a colour where there is none. wide : its width in
    heights.
    """

    name: str = ""
    note: str = ""
    jpeg: bytes | None = None
    hex: str | None = None
    words: str = ""
    wide: float = 1.0


@dataclass(frozen=True)
class StrandRow:
    """One strand: its stages from left to right, line by line; colours by name and "#rrggbb".

    tall : how many lines it is high. ends : where it ends open, in words, for pictures, colours,
    pieces and parts.
    """

    name: str
    says: str
    tall: int
    pictures: tuple[tuple[StrandTile, ...], ...]
    colours: tuple[tuple[str, str], ...]
    pieces: tuple[tuple[StrandTile, ...], ...]
    parts: tuple[tuple[StrandTile, ...], ...]
    ends: tuple[str, str, str, str]


@dataclass(frozen=True)
class StrandSheet:
    """All strands of a brief. foot : credits and the like, in small print."""

    title: str
    theme: str
    facts: str
    rows: tuple[StrandRow, ...]
    foot: str


@dataclass(frozen=True)
class PassportLine:
    """One material of an instrument; `facts` are pairs of what is said and its words."""

    name: str
    botanical: str
    facts: tuple[tuple[str, str], ...]
    timber: Timber


@dataclass(frozen=True)
class Passport:
    """Everything that an instrument's passport prints."""

    title: str
    facts: tuple[tuple[str, str], ...]
    lines: tuple[PassportLine, ...]
    finishes: tuple[tuple[str, str], ...]
    documents: tuple[tuple[str, str], ...]
    decides: str
    printed: str


@dataclass(frozen=True)
class Caption:
    """What stands beside the instrument at the stand. materials : parts, common and botanical name
    of each. price : as it was typed; "" prints none.
    """

    title: str
    instrument: str
    words: str
    materials: tuple[tuple[str, str, str], ...]
    price: str


@dataclass(frozen=True)
class PriceList:
    """The price list of a stand. lines : what it is, and its price as it was typed."""

    title: str
    lines: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SawnMark:
    """A blank on a board's picture: its corners, and what is written where, mm on the board.

    turn_deg : clockwise, of the words.
    """

    corners: tuple[tuple[float, float], ...]
    at: tuple[float, float]
    words: str
    high_mm: float
    turn_deg: float


@dataclass(frozen=True)
class SawnBoard:
    """A piece of the rack with what is sawn from it. All mm from the upper left of what `jpeg`
    shows, which is `shows_mm` wide and high on the wood; without one it is a rectangle in `hex`.

    outlines, left_out : of the wood, and of what is none. origin : where it is measured from, and
    a point along the board and across. rows : of the table, as many words as `heads`.
    """

    title: str
    label: str
    jpeg: bytes | None
    hex: str | None
    shows_mm: tuple[float, float]
    outlines: tuple[tuple[tuple[float, float], ...], ...]
    left_out: tuple[tuple[tuple[float, float], ...], ...]
    origin: tuple[tuple[float, float], ...]
    blanks: tuple[SawnMark, ...]
    offcuts: tuple[SawnMark, ...]
    sentence: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    told: tuple[str, ...]
    notes: tuple[str, ...]
    printed: str
