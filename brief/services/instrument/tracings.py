"""Outlines traced from the maker's own mould: drawn as SVG, or photographed."""

from __future__ import annotations

import math
from typing import Annotated, Literal

import numpy as np
from PIL import Image
from pydantic import BaseModel, Field

from brief.errors import FieldFault, ImageError, InputError
from brief.instrument.outline.bouts import bouts
from brief.instrument.tracing.symmetry import Run
from brief.instrument.tracing.traced import Halves
from brief.instrument.tracing.traced_svg import outline_of_svg
from brief.photo import describe_photo, open_photo
from brief.photo.outline.contour import find_contour
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Json,
    Title,
    View,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import MOST_MM, ALength, KnownLength, Texts, texts_of
from brief.services.instrument.straightening import NO_SHEET, sheet_asked_for, sheet_by_itself
from brief.services.instrument.traced_fit import SEEN_PX, fitted
from brief.services.instrument.tracing_overlay import overlay, size_of
from brief.services.photos.pictures import (
    LOST,
    PictureView,
    existing_image,
    keep_picture,
    picture_view,
    title_from,
)
from brief.services.photos.shot_correction import PointsText, asked_anew, points
from brief.store.desk import Desk
from brief.store.records import Brief, Tracing

KEPT = 1500  # points of an outline that are kept
MOST_SVG_BYTES = 4_000_000
UTF_16 = (b"\xff\xfe", b"\xfe\xff")
BodyLength = Annotated[float, ALength(10, MOST_MM, "19 in")]
LONGEST_SIDE = 2000.0  # of a rectangle on a mould, mm
ASKED = (
    "inside",
    "sheet",
    "sheet_corners",
    "sheet_width_mm",
    "sheet_height_mm",
    "above_mm",
    "scale_points",
    "scale_mm",
    "body_mm",
    "check_at",
    "check_mm",
    "turned",
    "halves",
)
SheetSide = Annotated[float, ALength(20, LONGEST_SIDE, "12 in")]
Above = Annotated[float, ALength(-200, 200, "18 mm")]
MeasuredWidth = Annotated[float, ALength(20, LONGEST_SIDE, "333 mm")]


class TracingDraft(Draft):
    """A tracing as it is sent, beside its file."""

    brief_id: Id
    name: Title = Field(examples=["Parlour mould, half"])
    inside: PointsText | None = Field(
        None, description="A point inside the outline, where the largest thing is not the body"
    )
    sheet: Literal["none", "A4", "Letter", "other"] = Field(
        "none", description="The sheet or rectangle on the mould that the photograph is flat by"
    )
    sheet_corners: PointsText | None = Field(
        None, description="Its four corners, if it is not found by itself"
    )
    sheet_width_mm: SheetSide | None = Field(None, description="One side of another rectangle")
    sheet_height_mm: SheetSide | None = Field(None, description="Its other side")
    above_mm: Above | None = Field(
        None, description="How far the mould’s face is above the sheet; below 0, under it"
    )
    scale_points: PointsText | None = Field(None, description="The two ends of a known length")
    scale_mm: KnownLength | None = Field(None, description="That length")
    body_mm: BodyLength | None = Field(
        None, description="How long the body is from joint to tail; counts before all else"
    )
    check_at: Literal["upper", "waist", "lower"] = Field(
        "lower", description="Where a width was measured on the mould, to check by"
    )
    check_mm: MeasuredWidth | None = Field(None, description="That width")
    turned: bool = Field(False, description="The neck is at the wider end")
    halves: Halves = Field("both", description="Which halves count, with the neck up")


class BoutView(BaseModel):
    """The width of an outline at a bout or the waist, as it is shown."""

    name: str = Field(examples=["waist"])
    at_mm: float = Field(description="From the neck joint")
    width_mm: float
    doubt_mm: float | None = Field(
        description="What the width may be off by, 9 times in 10; null for a drawing"
    )


class TracingView(View):
    """A tracing as it is shown."""

    brief_id: Id
    name: str
    picture: PictureView | None = Field(description="None for a drawing")
    inside: str | None
    sheet: str
    sheet_corners: str | None
    sheet_width_mm: float | None
    sheet_height_mm: float | None
    above_mm: float | None
    scale_points: str | None
    scale_mm: float | None
    body_mm: float | None
    check_at: str
    check_mm: float | None
    as_typed: Texts
    turned: bool
    halves: Halves
    stations: list[tuple[float, float]] | None = Field(
        description="From the neck joint, and half the width; send it as the outline of a brief"
    )
    length_mm: float | None
    length_error_mm: float | None = Field(description="What the length may be off by")
    doubt_mm: float | None = Field(
        description="The most that a width may be off by, 0 of a drawing; send it with the outline "
        "to a brief. Null if an earlier version traced a photograph: send its size again"
    )
    straightened: str = Field(description="By what it was made flat: sheet, width, or empty")
    checked: bool = Field(description="Whether a width measured on the mould agrees")
    found_corners: list[tuple[float, float]] | None = Field(
        description="Corners of the sheet, percent of the picture"
    )
    bouts: list[BoutView]
    off_mm: float | None = Field(description="The most that the curve misses the outline by")
    off_at_mm: float | None = Field(
        description="How far from the neck that is; null if an earlier version traced it"
    )
    usually_off_mm: float | None = Field(description="The same as a root mean square")
    asymmetry_mm: float | None = Field(description="The most that its halves lie apart")
    half: bool | None = Field(description="Whether one half alone was traced")
    notes: list[str]
    problem: str = Field(description="Why there are no stations; empty if there are")


class Tracings(Noun[Tracing, TracingView]):
    """Outlines traced from a mould."""

    record, draft, view = Tracing, TracingDraft, TracingView
    settled = frozenset({"brief_id"})
    made_by_json = False  # it comes as a file

    def settle(self, desk: Desk, fields: Fields, record: Tracing | None) -> Columns:
        """Look for the outline again where what it depends on is changed; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        kept = dict(fields)
        if record is not None and fields.keys() & set(ASKED):
            asked = asked_anew(record, fields, ASKED)
            found = record.findings
            run, remarks, sheet = record.points, found["remarks"], found.get("sheet")
            try:
                if record.image_sha256 is not None:
                    if "inside" in fields:
                        run = _contour(_shown(desk, record.image_sha256), asked["inside"])
                    if asked["sheet"] == NO_SHEET:
                        sheet = None
                    elif sheet is None or fields.keys() & {"sheet", "sheet_corners"}:
                        shown = _shown(desk, record.image_sha256)
                        sheet = sheet_asked_for(shown, asked["sheet_corners"])
                kept["findings"] = fitted(
                    run, size_of(desk, record), asked, remarks, sheet, _focal(desk, record)
                )
            except InputError as exc:
                if not exc.faults:
                    fault = next(name for name in ASKED if name in fields)
                    exc.faults = (FieldFault(f"/{fault}", str(exc)),)
                raise
            kept["points"] = run
        return kept

    def add_file(self, desk: Desk, brief_id: str, name: str, data: bytes) -> Tracing:
        """An SVG drawing, or a photograph, of a mould.

        What can be read but not be made an outline of yet is kept, with what it lacks.
        """
        fields: Columns = dict(TracingDraft(brief_id=brief_id, name=title_from(name)))
        check_pointers(desk, fields, None, brief_id=Brief)
        record = Tracing(**fields)
        remarks: list[str] = []
        if _is_svg(data):
            run, remarks = outline_of_svg(_text(data))
            record.points = _thinned(run)
        else:
            try:
                record.image_sha256 = keep_picture(desk, name, data).sha256
            except ImageError as exc:
                raise ImageError(f"{exc} A drawing of a mould has to be an SVG.") from exc
        sheet: Json | None = None
        try:
            if record.image_sha256 is not None:
                shown = _shown(desk, record.image_sha256)
                record.points = _contour(shown, None)
                sheet, record.sheet, said = sheet_by_itself(shown, np.array(record.points))
                remarks += [said] if said else []
            asked = fields | {"sheet": record.sheet}
            record.findings = fitted(
                record.points, size_of(desk, record), asked, remarks, sheet, _focal(desk, record)
            )
        except InputError as exc:
            record.findings = {
                "remarks": remarks,
                "notes": remarks,
                "problem": str(exc),
                "sheet": sheet,
            }
        desk.session.add(record)
        desk.session.flush()
        return record

    def show(self, desk: Desk, record: Tracing) -> TracingView:
        """The tracing, with its bouts."""
        found = record.findings
        stations, doubts = found.get("stations"), found.get("doubts", [])
        return TracingView(
            **view_fields(record, "brief_id", "name", *ASKED),
            as_typed=texts_of(record),
            picture=picture_view(desk, record.image_sha256) if record.image_sha256 else None,
            stations=stations,
            length_mm=stations[-1][0] if stations else None,
            bouts=[
                BoutView(name=one.name, at_mm=one.at_mm, width_mm=one.width_mm, doubt_mm=doubt)
                for one, doubt in zip(
                    bouts(tuple(map(tuple, stations))), doubts or [None] * 3, strict=False
                )
            ]
            if stations
            else [],
            doubt_mm=max(doubts, default=None if record.image_sha256 else 0.0),
            straightened=found.get("straightened", ""),
            checked=found.get("checked", False),
            found_corners=(found.get("sheet") or {}).get("corners"),
            **{
                name: found.get(name)
                for name in (
                    "length_error_mm",
                    "off_mm",
                    "off_at_mm",
                    "usually_off_mm",
                    "asymmetry_mm",
                    "half",
                )
            },
            notes=found["notes"],
            problem=found["problem"],
        )

    def vet(self, desk: Desk, record: Tracing) -> None:
        """Refuse a tracing whose outline cannot be drawn over its picture; see `Noun.vet`."""
        super().vet(desk, record)
        overlay(desk, record)


def _is_svg(data: bytes) -> bool:
    """Whether it is to be read as text: tags, or path data alone. A TIFF may begin with M, too."""
    if data.startswith(UTF_16):
        return True
    start = data[:200].removeprefix(b"\xef\xbb\xbf").lstrip()
    return start.startswith((b"<", b"M", b"m")) and b"\0" not in start


def _text(data: bytes) -> str:
    if len(data) > MOST_SVG_BYTES:
        raise InputError("The drawing is too large; at most 4 MB are read. Simplify its paths.")
    try:
        return data.decode("utf-16" if data.startswith(UTF_16) else "utf-8-sig")
    except UnicodeDecodeError as exc:
        raise InputError("The drawing is no text in UTF-8. Save it as plain SVG.") from exc


def _shown(desk: Desk, sha256: str) -> Image.Image:
    """A photograph as it is looked at."""
    image = existing_image(desk, sha256)
    return open_photo(desk.images.path(sha256), name=image.name, within=SEEN_PX)


def _focal(desk: Desk, record: Tracing) -> float | None:
    """Of the lens that its photograph was taken by, where the file tells it."""
    if record.image_sha256 is None:
        return None
    try:
        return describe_photo(desk.images.path(record.image_sha256)).focal
    except LOST:
        return None


def _contour(shown: Image.Image, inside: str | None) -> list[list[float]]:
    """The outline found in a photograph, in percent of it."""
    return _thinned(find_contour(shown, points(inside, 1)[0] if inside else None).points)


def _thinned(run: Run) -> list[list[float]]:
    """Not every point of a long run; each that is kept is one of its own."""
    step = max(1, math.ceil(len(run) / KEPT))
    kept = [*run[:-1:step], run[-1]]
    return [[round(float(x), 4), round(float(y), 4)] for x, y in kept]


tracings = Tracings()
