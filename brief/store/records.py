"""The records, as tables.

Colours are CIELAB, D65, 2° observer, stored as [L, a, b]; regions are Media Fragments
(`xywh=percent:x,y,w,h`); times are UTC; lengths are millimetres.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any, ClassVar

from sqlalchemy import (
    JSON,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column, relationship
from ulid import ULID

EMPTY = text("''")


def now_utc() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def new_id() -> str:
    """A ULID: sorts by the time it was made, so that lists keep the order of making."""
    return str(ULID())


class UtcDateTime(TypeDecorator[datetime]):
    """Aware UTC in Python, naive UTC in the database: SQLite keeps no zone."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """As SQLite keeps it: UTC, without saying so."""
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """As the program has it: in UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


class Exact(TypeDecorator[Decimal]):
    """An exact decimal number, kept by its figures: SQLite has none. One number has one text."""

    impl = String(20)
    cache_ok = True

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> str | None:
        """Its figures, without noughts at the end."""
        return None if value is None else format(value.normalize(), "f")

    def process_result_value(self, value: str | None, dialect: Dialect) -> Decimal | None:
        """The number."""
        return None if value is None else Decimal(value)


class Base(DeclarativeBase):
    """The base of all tables, with the names of their constraints."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar = {
        datetime: UtcDateTime,
        date: Date,
        Decimal: Exact,
        list[float]: JSON,
        list[Any]: JSON,
        dict[str, Any]: JSON,
    }


class Home(Base):
    """Which home this is, told from every other; copies of it keep its id. There is one row."""

    __tablename__ = "homes"

    id: Mapped[str] = mapped_column(String(26), primary_key=True)


class Image(Base):
    """A stored file, named by the SHA-256 of its bytes. Several records may show one image.

    An attachment may be a PDF, too; its width and height are those of its first page in points.
    """

    __tablename__ = "images"

    sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(String(255))
    media_type: Mapped[str] = mapped_column(String(40))
    size_bytes: Mapped[int]
    width_px: Mapped[int]
    height_px: Mapped[int]
    added_utc: Mapped[datetime] = mapped_column(default=now_utc)


class Record(Base):
    """What every record has: an id, a version for ETags, times, and its place in the bin."""

    __abstract__ = True
    # Whether it goes along when its brief is taken elsewhere; what is secret does not.
    travels: ClassVar[bool] = True

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    version: Mapped[int]
    created_utc: Mapped[datetime] = mapped_column(default=now_utc)
    changed_utc: Mapped[datetime] = mapped_column(default=now_utc, onupdate=now_utc)
    binned_utc: Mapped[datetime | None]
    # The record whose removal took this one along; its own id when it was removed itself.
    binned_with: Mapped[str | None] = mapped_column(String(26), index=True)

    @declared_attr.directive
    def __mapper_args__(cls) -> dict[str, Any]:  # noqa: N805 - SQLAlchemy's own spelling
        return {"version_id_col": cls.__table__.c.version}


def _brief_key() -> Mapped[str]:
    return mapped_column(ForeignKey("briefs.id"), index=True)


class LengthsAsTyped:
    """What has lengths that a maker types."""

    # The text of those that were typed in another way than as their number, by field:
    # {"line_mm": "1/32 in"}. It counts only while it says the number.
    as_typed: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")


class Kind(LengthsAsTyped, Record):
    """A kind of instrument of the maker's own."""

    __tablename__ = "kinds"

    name: Mapped[str] = mapped_column(String(200))
    # All its numbers and its outline, as a file of brief/instrument/presets has them.
    drawing: Mapped[dict[str, Any]]
    # What a new brief of it comes with: [{"role": "top", "name": "Top", "sizes": "2.6 mm"}, ...].
    parts: Mapped[list[Any]]


class Brief(LengthsAsTyped, Record):
    """A brief."""

    __tablename__ = "briefs"

    title: Mapped[str] = mapped_column(String(200))
    theme: Mapped[str] = mapped_column(Text)
    instrument: Mapped[str] = mapped_column(String(200))
    # A kind that the program knows, or the id of one of the maker's own.
    kind: Mapped[str] = mapped_column(String(60))
    show: Mapped[str] = mapped_column(String(200))
    wanted_by: Mapped[date | None]
    # With an opening, `wanted_by` is that day less these.
    opens_on: Mapped[date | None]
    travel_days: Mapped[int] = mapped_column(default=0, server_default="0")
    papers_days: Mapped[int] = mapped_column(default=0, server_default="0")
    # Hours at the bench from Monday to Sunday; None leaves it to common practice.
    week_h: Mapped[list[float] | None]
    # For the stand: the maker's words and price of the instrument, and what else is on the price
    # list, one a line. A price is printed as it was typed, and nothing is worked out of it.
    caption: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)
    stand_price: Mapped[str] = mapped_column(String(200), default="", server_default=EMPTY)
    stand_list: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)
    # What it costs: the maker's own terms, which nobody else sees. Without a currency, that of most
    # of the rack. Overhead is "30 %" of what the hours cost, or a sum.
    currency: Mapped[str | None] = mapped_column(String(3))
    hour_rate: Mapped[Decimal | None]
    overhead: Mapped[str] = mapped_column(String(40), default="", server_default=EMPTY)
    margin: Mapped[Decimal | None]
    commission: Mapped[Decimal | None]
    asking_price: Mapped[Decimal | None]
    # The numbers that differ from those of its kind of instrument: {"scale_mm": 640.0, ...}.
    numbers: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")

    # Stations in place of those of its kind: [[mm from the neck joint, half width], ...].
    outline: Mapped[list[Any] | None]
    # What a width of that outline may be off by, where it was traced from a photograph.
    outline_doubt_mm: Mapped[float | None]
    # Which edition of its kind's outline the maker has read of; a brief that was there before, or
    # comes from an older parcel, knows the first.
    outline_edition: Mapped[int] = mapped_column(default=2, server_default="1")

    own_kind: Mapped[Kind | None] = relationship(
        primaryjoin="foreign(Brief.kind) == Kind.id", viewonly=True
    )


class Tracing(LengthsAsTyped, Record):
    """An outline traced from the maker's own mould, drawn or photographed."""

    __tablename__ = "tracings"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    # Round the outline as it was found: percent of the picture, or millimetres of a drawing.
    points: Mapped[list[Any] | None]
    # Percent of the picture: a point inside the outline, and the ends of a known length.
    inside: Mapped[str | None] = mapped_column(String(30))
    # A sheet of known size that the photograph is made flat by: none, A4, Letter or other; its
    # corners where they were marked; and how far the mould's face is above it.
    sheet: Mapped[str] = mapped_column(String(6), default="none", server_default="none")
    sheet_corners: Mapped[str | None] = mapped_column(String(120))
    sheet_width_mm: Mapped[float | None]
    sheet_height_mm: Mapped[float | None]
    above_mm: Mapped[float | None]
    scale_points: Mapped[str | None] = mapped_column(String(60))
    scale_mm: Mapped[float | None]
    body_mm: Mapped[float | None]
    # A width measured on the mould, to check by: of the upper bout, the waist or the lower bout.
    check_at: Mapped[str] = mapped_column(String(5), default="lower", server_default="lower")
    check_mm: Mapped[float | None]
    turned: Mapped[bool]
    # Which of them count, with the neck up: both, left or right.
    halves: Mapped[str] = mapped_column(String(5), default="both", server_default="both")
    # Stations, how well they fit, and what is said of it.
    findings: Mapped[dict[str, Any]]


class Motif(Record):
    """A strand of the theme."""

    __tablename__ = "motifs"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    says: Mapped[str] = mapped_column(Text)


class Note(Record):
    """Free text about anything."""

    __tablename__ = "notes"

    # None on the rack, which belongs to no brief.
    brief_id: Mapped[str | None] = mapped_column(ForeignKey("briefs.id"), index=True)
    about_kind: Mapped[str] = mapped_column(String(20))
    about_id: Mapped[str] = mapped_column(String(26), index=True)
    text: Mapped[str] = mapped_column(Text)
    # What was noted before there was anybody to share with was meant for nobody else.
    private: Mapped[bool] = mapped_column(default=True, server_default="1")


reference_motifs = Table(
    "reference_motifs",
    Base.metadata,
    Column("reference_id", ForeignKey("references.id"), primary_key=True),
    Column("motif_id", ForeignKey("motifs.id"), primary_key=True),
)


class Corrected:
    """What in a shot its colours are corrected by, and the correction that follows from it."""

    correct_by: Mapped[str] = mapped_column(String(10), default="none", server_default="none")
    # What it was taken by.
    light: Mapped[str] = mapped_column(String(20), default="not known", server_default="not known")
    chart_age: Mapped[str] = mapped_column(
        String(20), default="after-2014", server_default="after-2014"
    )
    # Percent of the picture: "x,y x,y x,y x,y"; None where the chart is found by itself.
    chart_corners: Mapped[str | None] = mapped_column(String(120))
    card: Mapped[str] = mapped_column(
        String(40), default="white paper", server_default="white paper"
    )
    card_region: Mapped[str | None] = mapped_column(String(80))
    second_card: Mapped[str | None] = mapped_column(String(40))
    second_card_region: Mapped[str | None] = mapped_column(String(80))
    correction: Mapped[dict[str, Any] | None]


class Reference(Corrected, Record):
    """A picture or a passage that the theme draws on, with its credit and rights."""

    __tablename__ = "references"

    brief_id: Mapped[str] = _brief_key()
    kind: Mapped[str] = mapped_column(String(10))
    title: Mapped[str] = mapped_column(String(200))
    passage: Mapped[str] = mapped_column(Text)
    credit: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(String(500))
    rights: Mapped[str] = mapped_column(String(500))
    # Whose leave there is to publish it, where its rights alone do not give it.
    permission: Mapped[str] = mapped_column(String(200), default="", server_default=text("''"))
    private: Mapped[bool]
    # In the maker's own order, from 1; what was never moved comes last, as it was added.
    position: Mapped[int | None]
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))

    motifs: Mapped[list[Motif]] = relationship(
        secondary=reference_motifs, order_by=Motif.id, lazy="selectin"
    )


class Palette(Record):
    """Colours pulled out of a picture, with the parameters that made them."""

    __tablename__ = "palettes"

    brief_id: Mapped[str] = _brief_key()
    reference_id: Mapped[str] = mapped_column(ForeignKey("references.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    asked: Mapped[str] = mapped_column(String(10))
    region: Mapped[str | None] = mapped_column(String(80))
    seed: Mapped[int]
    algorithm: Mapped[str] = mapped_column(String(40))
    correction: Mapped[dict[str, Any] | None]
    uncertainty: Mapped[float] = mapped_column(Float, server_default="10")
    # [{"lab": [L, a, b], "share": 0..1, "spread": CIEDE2000, "spot": [x %, y %]}, ...]
    colours: Mapped[list[Any]]
    accents: Mapped[list[Any]] = mapped_column(server_default="[]")  # as the colours


class Swatch(Record):
    """A colour that matters, named; out of a palette or typed in."""

    __tablename__ = "swatches"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    lab: Mapped[list[float]]
    uncertainty: Mapped[float] = mapped_column(Float)
    palette_id: Mapped[str | None] = mapped_column(ForeignKey("palettes.id"), index=True)
    # Counts the palette's colours and, on from them, its accents.
    palette_index: Mapped[int | None] = mapped_column(Integer)
    motif_id: Mapped[str | None] = mapped_column(ForeignKey("motifs.id"), index=True)


class Material(LengthsAsTyped, Record):
    """A piece on the rack, which all briefs share."""

    __tablename__ = "materials"

    label: Mapped[str] = mapped_column(String(200))
    # What others read in its place; empty leaves it to the species and the label.
    public_name: Mapped[str] = mapped_column(String(200), default="", server_default=EMPTY)
    stuff: Mapped[str] = mapped_column(String(20))
    species: Mapped[str] = mapped_column(String(200))
    provenance: Mapped[str] = mapped_column(String(500))
    length_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    thickness_mm: Mapped[float | None]
    # How the growth rings run to its face: quartersawn, flatsawn, or not said.
    cut: Mapped[str] = mapped_column(String(20), default="not said", server_default="not said")
    # kg/m³ as the maker knows it; and what the piece weighs, which gives it with the sizes.
    density: Mapped[float | None]
    weight_g: Mapped[float | None]
    price: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))
    reading: Mapped[str] = mapped_column(String(100))
    # CIEDE2000 of the reading itself; None of one kept before that was asked: an instrument's.
    reading_uncertainty: Mapped[float | None]
    # CIEDE2000; what the file that the reading came in leaves uncertain beyond the reading itself.
    reading_doubt: Mapped[float] = mapped_column(default=0.0, server_default="0")
    # What follows from the reading and the bare photographs: the colour, how far its sources
    # disagree, and the figure as the first photograph shows it, its pixels folded into cells:
    # [[L, a, b, weight], ...]; they are most of a row, and wanted by verdicts alone.
    lab: Mapped[list[float] | None]
    uncertainty: Mapped[float | None]
    disagreement: Mapped[float | None]
    spread: Mapped[float | None]
    cells: Mapped[list[Any] | None] = mapped_column(deferred=True)
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    region: Mapped[str | None] = mapped_column(String(80))
    # What was measured of that photograph, as it was shot; by it the photograph is toned.
    shot_lab: Mapped[list[float] | None]


class Photograph(Corrected, LengthsAsTyped, Record):
    """One photograph of a piece on the rack, and what was measured from it."""

    __tablename__ = "photographs"

    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    state: Mapped[str] = mapped_column(String(20))
    finish: Mapped[str] = mapped_column(String(200))
    # Where the maker outlined it, as W3C selectors; where it was measured is in the findings.
    selections: Mapped[list[Any]]
    # What lies round the board in it is one white sheet, by which its light is evened out.
    surround_region: Mapped[str | None] = mapped_column(String(80))
    # Percent of the picture, "x,y x,y": the ends of a known length, and a line across the grain.
    scale_points: Mapped[str | None] = mapped_column(String(60))
    scale_mm: Mapped[float | None]
    grain_line: Mapped[str | None] = mapped_column(String(60))
    # What follows from it.
    lab: Mapped[list[float]]
    uncertainty: Mapped[float]
    spread: Mapped[float]
    cells: Mapped[list[Any]] = mapped_column(deferred=True)
    findings: Mapped[dict[str, Any]]


class Stock(Record):
    """What a merchant or a guild has: boards measured by their photographs, to look in. It is the
    maker's own affair and goes along with no brief; a piece that was taken into the rack does."""

    __tablename__ = "stocks"
    travels = False

    name: Mapped[str] = mapped_column(String(200))
    source: Mapped[str] = mapped_column(String(500))
    stuff: Mapped[str] = mapped_column(String(20))
    # Raised whenever a board was added or changed, so that what was read of it is read again.
    edition: Mapped[int] = mapped_column(default=0, server_default="0")


class Board(Base):
    """A board of a stock. Nothing of it is the maker's to change, so that it is no record."""

    __tablename__ = "boards"
    __table_args__ = (
        Index("uq_boards_stock_id", "stock_id", "photo_sha256", unique=True),
        Index("ix_boards_stock_id", "stock_id", "id"),  # a page of them without sorting all
    )

    id: Mapped[str] = mapped_column(String(26), primary_key=True, default=new_id)
    stock_id: Mapped[str] = mapped_column(ForeignKey("stocks.id"))
    # The merchant's photograph, which is not kept unless that was asked for; and what is shown: a
    # small one, or itself. Of a board that came in a table alone: what its row is called, and None.
    photo_sha256: Mapped[str] = mapped_column(String(64))
    image_sha256: Mapped[str | None] = mapped_column(ForeignKey("images.sha256"))
    file: Mapped[str] = mapped_column(String(500))
    # As the merchant's table has it.
    label: Mapped[str] = mapped_column(String(200))
    species: Mapped[str] = mapped_column(String(200))
    length_mm: Mapped[float | None]
    width_mm: Mapped[float | None]
    thickness_mm: Mapped[float | None]
    price: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))
    # Its other columns: {"moisture": "8 %", ...}.
    more: Mapped[dict[str, Any]]
    # The colour, in columns of its own: all of a stock are read at once.
    lightness: Mapped[float]
    a: Mapped[float]
    b: Mapped[float]
    uncertainty: Mapped[float]
    spread: Mapped[float | None]
    figure: Mapped[str] = mapped_column(String(20))
    grain_deg: Mapped[float | None]
    # All columns of a photograph that were measured, but for its cells; {} without one.
    measured: Mapped[dict[str, Any]] = mapped_column(deferred=True)
    # The piece of the rack that was made of it last.
    piece_id: Mapped[str | None] = mapped_column(ForeignKey("materials.id"))


class FinishTest(Record):
    """The same offcut before and after a finish, as a shift of its colour."""

    __tablename__ = "finish_tests"

    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    before_id: Mapped[str] = mapped_column(ForeignKey("photographs.id"), index=True)
    after_id: Mapped[str] = mapped_column(ForeignKey("photographs.id"), index=True)
    # {"d_lab": [dL, da, db], "uncertainty": CIEDE2000, "delta_e": CIEDE2000}
    shift: Mapped[dict[str, Any]]


class Viewing(LengthsAsTyped, Record):
    """Where the piece of a brief will be seen."""

    __tablename__ = "viewings"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    distance_m: Mapped[float]
    # A CIE illuminant, or "lamp" for one known by its kelvin and colour rendering alone.
    light: Mapped[str] = mapped_column(String(20))
    kelvin: Mapped[float | None]
    rendering: Mapped[float | None]
    lux: Mapped[float | None]


class Climate(Record):
    """The air that the instrument of a brief is in: where it is made, on its way, at its venue."""

    __tablename__ = "climates"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    stage: Mapped[str] = mapped_column(String(20))
    # As they were typed: one number for the whole year, or twelve from January on.
    humidity: Mapped[str] = mapped_column(String(200))
    temperature: Mapped[str] = mapped_column(String(200))
    # The one that counts, 1 to 12; None: all of the year.
    month: Mapped[int | None]


class Pairing(LengthsAsTyped, Record):
    """An inlay asked about in a ground, with their colours as they were when asked."""

    __tablename__ = "pairings"

    brief_id: Mapped[str] = _brief_key()
    ground_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    inlay_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    place: Mapped[str] = mapped_column(String(200))
    line_mm: Mapped[float | None]
    asked_ground_lab: Mapped[list[float]]
    asked_inlay_lab: Mapped[list[float]]

    ground: Mapped[Material] = relationship(foreign_keys=[ground_id], lazy="selectin")
    inlay: Mapped[Material] = relationship(foreign_keys=[inlay_id], lazy="selectin")


class Part(Record):
    """A part of the instrument: what it is made of and which colour it should carry."""

    __tablename__ = "parts"

    brief_id: Mapped[str] = _brief_key()
    role: Mapped[str] = mapped_column(String(40))
    name: Mapped[str] = mapped_column(String(200))
    material_id: Mapped[str | None] = mapped_column(ForeignKey("materials.id"), index=True)
    swatch_id: Mapped[str | None] = mapped_column(ForeignKey("swatches.id"), index=True)
    motif_id: Mapped[str | None] = mapped_column(ForeignKey("motifs.id"), index=True)
    finish: Mapped[str] = mapped_column(String(200))
    sizes: Mapped[str] = mapped_column(String(500))
    # The colours on the day they were chosen, so that a later change shows.
    chosen_material_lab: Mapped[list[float] | None]
    chosen_swatch_lab: Mapped[list[float] | None]
    # How its photograph is laid: {"centre": 0..100, "match": "book-left", "turn": 90 or null};
    # None leaves it to the part.
    laying: Mapped[dict[str, Any] | None]


class Inlay(LengthsAsTyped, Record):
    """A design laid into a part of the instrument, and what was measured on it."""

    __tablename__ = "inlays"

    brief_id: Mapped[str] = _brief_key()
    # The part that it is, whose material it shows.
    part_id: Mapped[str | None] = mapped_column(ForeignKey("parts.id"), index=True)
    name: Mapped[str] = mapped_column(String(200))
    # "drawing" or "dot". Of a drawing its outlines alone are kept, as plain path data 100 mm
    # wide, with its width in its file and what was made of it in words.
    shape: Mapped[str] = mapped_column(String(10))
    path: Mapped[str] = mapped_column(Text)
    drawn_mm: Mapped[float]
    remarks: Mapped[list[Any]]
    # Where it lies, as brief.instrument.inlay.places.Place has it.
    lies_on: Mapped[str] = mapped_column(String(20))
    frets: Mapped[list[Any]]
    along_mm: Mapped[float | None]
    across_mm: Mapped[float]
    copies: Mapped[int]
    width_mm: Mapped[float]
    turn_deg: Mapped[float]
    mirrored: Mapped[bool]
    # What follows from it: brief.instrument.inlay.design.Measured.
    measured: Mapped[dict[str, Any]]


class Comment(Record):
    """What somebody said about a thing, a spot on its picture, or some words of a passage."""

    __tablename__ = "comments"
    # However often a file of comments comes in, each of them does so once.
    __table_args__ = (Index("uq_comments_annotation_id", "brief_id", "annotation_id", unique=True),)

    brief_id: Mapped[str] = _brief_key()
    about_kind: Mapped[str] = mapped_column(String(20))
    about_id: Mapped[str] = mapped_column(String(26), index=True)
    region: Mapped[str | None] = mapped_column(String(80))
    # Words of a passage, as a text quote selector has them; empty where it is about all of it.
    quote: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    quote_prefix: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    quote_suffix: Mapped[str] = mapped_column(Text, server_default=EMPTY)
    author: Mapped[str] = mapped_column(String(100))
    text: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(10))
    outcome: Mapped[str] = mapped_column(Text)
    reply_to: Mapped[str | None] = mapped_column(ForeignKey("comments.id"), index=True)
    # How it came in: written down "here", in a "file", or over a "link".
    came_by: Mapped[str] = mapped_column(String(10), default="here", server_default="here")
    # Of one that came in a file: the name it has there, and when it was said.
    annotation_id: Mapped[str | None] = mapped_column(String(300))
    said_utc: Mapped[datetime | None]
    # When the maker had seen it; nothing for what was written down here.
    seen_utc: Mapped[datetime | None]
    # What has become since then of what it is about.
    since: Mapped[str] = mapped_column(Text, default="", server_default=EMPTY)


class Stage(Record):
    """A stage of the work on an instrument."""

    __tablename__ = "stages"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # Ids of the stages that must come before it. One in the offcuts bin hands on its own.
    follows: Mapped[list[Any]]
    # Estimates in hours, and days on the calendar behind it, with what for.
    quick_h: Mapped[float]
    likely_h: Mapped[float]
    slow_h: Mapped[float]
    wait_days: Mapped[float]
    wait_for: Mapped[str] = mapped_column(String(200))
    # Whether the instrument could be without it.
    spare: Mapped[bool]
    spent_h: Mapped[float | None]
    done_on: Mapped[date | None]
    # The stage of brief/plan/stages.toml that it began as.
    usual: Mapped[str] = mapped_column(String(40))


class Absence(Record):
    """Days on which the bench is not free for an instrument: a holiday, another commission."""

    __tablename__ = "absences"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # None for what has begun already.
    first_on: Mapped[date | None]
    last_on: Mapped[date]


class Stop(Record):
    """A place that a trip comes to: the workshop, a border, the hall, a bed."""

    __tablename__ = "stops"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    role: Mapped[str] = mapped_column(String(20))
    # IANA name of its time zone, by which all times there are read.
    zone: Mapped[str] = mapped_column(String(60))
    address: Mapped[str] = mapped_column(String(500))


class Leg(Record):
    """A way from one stop to another."""

    __tablename__ = "legs"

    brief_id: Mapped[str] = _brief_key()
    from_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    to_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    by: Mapped[str] = mapped_column(String(200))
    # Days and times of day by the clocks there, "09:40"; "" where a time is not known yet, and
    # None for an arrival on the same day.
    leaves_on: Mapped[date]
    leaves_at: Mapped[str] = mapped_column(String(5))
    arrives_on: Mapped[date | None]
    arrives_at: Mapped[str] = mapped_column(String(5))
    booking: Mapped[str] = mapped_column(String(200))
    booked: Mapped[bool]


class Stay(Record):
    """A time at a stop: nights in a bed, the hours of the stand."""

    __tablename__ = "stays"

    brief_id: Mapped[str] = _brief_key()
    stop_id: Mapped[str] = mapped_column(ForeignKey("stops.id"), index=True)
    purpose: Mapped[str] = mapped_column(String(20))
    # As those of a leg; until_on None is the same day.
    from_on: Mapped[date]
    from_at: Mapped[str] = mapped_column(String(5))
    until_on: Mapped[date | None]
    until_at: Mapped[str] = mapped_column(String(5))
    booking: Mapped[str] = mapped_column(String(200))
    booked: Mapped[bool]


class Contact(Record):
    """Somebody to ask on a trip, and how to reach them."""

    __tablename__ = "contacts"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    concern: Mapped[str] = mapped_column(String(200))
    reach: Mapped[str] = mapped_column(String(500))


class ThingToPack(Record):
    """A line of the packing list."""

    __tablename__ = "things_to_pack"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    heap: Mapped[str] = mapped_column(String(20))
    why: Mapped[str] = mapped_column(String(500))
    packed: Mapped[bool]
    # The line of brief/plan/packing.toml, or of this brief's own sheets, that it began as.
    usual: Mapped[str] = mapped_column(String(40))


class Attachment(Record):
    """A document of a trip: a ticket, a booking, a passport. It never leaves this home with its
    brief, since nobody can see of a copy what such a document says."""

    __tablename__ = "attachments"
    travels = False

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    # Of a PDF; a picture has one.
    pages: Mapped[int]


class BoughtPart(Record):
    """What is bought for an instrument: tuners, strings, a case. In the currency of its brief."""

    __tablename__ = "bought_parts"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    number: Mapped[int]
    price: Mapped[Decimal]  # of each
    currency: Mapped[str] = mapped_column(String(3))


class PieceUsed(Record):
    """How much of a piece of the rack an instrument uses, where the maker says so."""

    __tablename__ = "pieces_used"

    brief_id: Mapped[str] = _brief_key()
    material_id: Mapped[str] = mapped_column(ForeignKey("materials.id"), index=True)
    # Percent of its price; or what the share cost, in the currency of the brief.
    share: Mapped[Decimal | None]
    cost: Mapped[Decimal | None]
    currency: Mapped[str] = mapped_column(String(3))

    material: Mapped[Material] = relationship(lazy="selectin")


class StudioPicture(Record):
    """A picture of the instrument that was computed by light, of the brief as it was then."""

    __tablename__ = "studio_pictures"

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    view: Mapped[str] = mapped_column(String(20))
    image_sha256: Mapped[str] = mapped_column(ForeignKey("images.sha256"))
    # SHA-256 of all that went in: what would give the same picture has the same.
    made_of: Mapped[str] = mapped_column(String(64))
    # Sentences: how it was lit, and what of it is measured and what guessed.
    said: Mapped[list[Any]]
    private: Mapped[bool]


class Secret:
    """What a secret in an address opens; that is kept as a hash alone."""

    __allow_unmapped__ = True

    token_sha256: Mapped[str] = mapped_column(String(64), unique=True)
    # The secret itself, which only the desk that made it knows.
    token: str | None = None

    def __init__(self, *, token: str, **fields: Any) -> None:
        super().__init__(**fields)
        self.token = token


class Share(Secret, Record):
    """A link by which somebody outside may read a brief."""

    __tablename__ = "shares"
    travels = False

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))
    # The revision that it shows; without one, the brief as it is.
    revision_id: Mapped[str | None] = mapped_column(ForeignKey("revisions.id"), index=True)
    sheets: Mapped[list[Any]]
    may_comment: Mapped[bool]
    expires_on: Mapped[date]
    withdrawn_utc: Mapped[datetime | None]


class CalendarLink(Secret, Record):
    """A link by which a calendar reads a run-up."""

    __tablename__ = "calendar_links"
    travels = False

    brief_id: Mapped[str] = _brief_key()
    name: Mapped[str] = mapped_column(String(200))


class Passphrase(Base):
    """What opens the brief from another device, hashed: the owner's, who is number 1, and that of
    each maker of a server that several share."""

    __tablename__ = "passphrases"

    id: Mapped[int] = mapped_column(primary_key=True)
    hashed: Mapped[str] = mapped_column(String(255))
    changed_utc: Mapped[datetime] = mapped_column(default=now_utc, onupdate=now_utc)


class SignIn(Base):
    """A browser in which somebody is signed in, named by the SHA-256 of what its cookie holds."""

    __tablename__ = "sign_ins"

    token_sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    begun_utc: Mapped[datetime] = mapped_column(default=now_utc)
    ends_utc: Mapped[datetime] = mapped_column(index=True)
    maker: Mapped[int] = mapped_column(server_default="1", default=1)  # the owner is number 1
    # At which workshop that browser is; none: its maker's own.
    workshop_id: Mapped[str | None] = mapped_column(String(10))


class Revision(Record):
    """A brief as it was when it was frozen."""

    __tablename__ = "revisions"

    brief_id: Mapped[str] = _brief_key()
    letter: Mapped[str] = mapped_column(String(4))
    note: Mapped[str] = mapped_column(Text)
    # The brief's own version then: while it is the same, so are its drawings.
    brief_version: Mapped[int]
    # The whole brief, as a parcel without revisions; large, and wanted by few.
    document: Mapped[dict[str, Any]] = mapped_column(deferred=True)


class Question(Record):
    """This or that: two to four things side by side, for others to choose from."""

    __tablename__ = "questions"

    brief_id: Mapped[str] = _brief_key()
    text: Mapped[str] = mapped_column(String(200))
    # [{"kind": "pairing", "id": ULID}, ...], from left to right
    choices: Mapped[list[Any]]
    state: Mapped[str] = mapped_column(String(10))
    closed_utc: Mapped[datetime | None]


class Answer(Record):
    """Which of them somebody chose; one for each name and each way it can come in."""

    __tablename__ = "answers"

    question_id: Mapped[str] = mapped_column(ForeignKey("questions.id"), index=True)
    choice: Mapped[int]
    before: Mapped[int | None]  # what the same person had chosen first, if that was another
    why: Mapped[str] = mapped_column(Text)
    author: Mapped[str] = mapped_column(String(200))
    came_by: Mapped[str] = mapped_column(String(10), default="here")
    annotation_id: Mapped[str | None] = mapped_column(String(300))
    said_utc: Mapped[datetime] = mapped_column(default=now_utc)
