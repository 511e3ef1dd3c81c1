"""Outlines traced from the maker's own mould: drawn as SVG, or photographed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, Field

from brief.errors import FieldFault, ImageError, InputError
from brief.instrument.outline.bouts import bouts
from brief.instrument.tracing.symmetry import Run
from brief.instrument.tracing.traced import Halves, Traced, trace
from brief.instrument.tracing.traced_svg import outline_of_svg
from brief.photo import Scale, open_photo
from brief.photo.outline.contour import find_contour
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Json,
    Title,
    View,
    in_field,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import MOST_MM, ALength, KnownLength, Texts, texts_of
from brief.services.photos.pictures import (
    PictureView,
    existing_image,
    keep_picture,
    picture_view,
    title_from,
)
from brief.services.photos.shot_correction import PointsText, asked_anew, known_length, points
from brief.store.desk import Desk
from brief.store.records import Brief, Tracing

SEEN_PX = 1500  # what a photograph is looked at within
DRAWN_WAVER_MM = 0.02
PHOTO_WAVER = 0.1  # of a pixel: how far a contour strays in even light, by rendered moulds
KEPT = 1500  # points of an outline that are kept
MOST_SVG_BYTES = 4_000_000
UTF_16 = (b"\xff\xfe", b"\xfe\xff")
BodyLength = Annotated[float, ALength(10, MOST_MM, "19 in")]
ASKED = ("inside", "scale_points", "scale_mm", "body_mm", "turned", "halves")


class TracingDraft(Draft):
    """A tracing as it is sent, beside its file."""

    brief_id: Id
    name: Title = Field(examples=["Parlour mould, half"])
    inside: PointsText | None = Field(
        None, description="A point inside the outline, where the largest thing is not the body"
    )
    scale_points: PointsText | None = Field(None, description="The two ends of a known length")
    scale_mm: KnownLength | None = Field(None, description="That length")
    body_mm: BodyLength | None = Field(
        None, description="How long the body is from joint to tail; counts before all else"
    )
    turned: bool = Field(False, description="The neck is at the wider end")
    halves: Halves = Field("both", description="Which halves count, with the neck up")


class BoutView(BaseModel):
    """The width of an outline at a bout or the waist, as it is shown."""

    name: str = Field(examples=["waist"])
    at_mm: float = Field(description="From the neck joint")
    width_mm: float


class TracingView(View):
    """A tracing as it is shown."""

    brief_id: Id
    name: str
    picture: PictureView | None = Field(description="None for a drawing")
    inside: str | None
    scale_points: str | None
    scale_mm: float | None
    body_mm: float | None
    as_typed: Texts
    turned: bool
    halves: Halves
    stations: list[tuple[float, float]] | None = Field(
        description="From the neck joint, and half the width; send it as the outline of a brief"
    )
    length_mm: float | None
    length_error_mm: float | None = Field(description="By what the taps of its scale may be off")
    bouts: list[BoutView]
    off_mm: float | None = Field(description="The most that the curve misses the outline by")
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
            run, remarks = record.points, record.findings["remarks"]
            try:
                if "inside" in fields and record.image_sha256 is not None:
                    run = _contour(desk, record.image_sha256, asked["inside"])
                kept["findings"] = _fitted(run, _size(desk, record), asked, remarks)
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
        try:
            if record.image_sha256 is not None:
                record.points = _contour(desk, record.image_sha256, None)
            record.findings = _fitted(record.points, _size(desk, record), fields, remarks)
        except InputError as exc:
            record.findings = {"remarks": remarks, "notes": remarks, "problem": str(exc)}
        desk.session.add(record)
        desk.session.flush()
        return record

    def show(self, desk: Desk, record: Tracing) -> TracingView:
        """The tracing, with its bouts."""
        found = record.findings
        stations = found.get("stations")
        return TracingView(
            **view_fields(record, "brief_id", "name", *ASKED),
            as_typed=texts_of(record),
            picture=picture_view(desk, record.image_sha256) if record.image_sha256 else None,
            stations=stations,
            length_mm=stations[-1][0] if stations else None,
            bouts=[
                BoutView(name=one.name, at_mm=one.at_mm, width_mm=one.width_mm)
                for one in bouts(tuple(map(tuple, stations)))
            ]
            if stations
            else [],
            **{
                name: found.get(name)
                for name in (
                    "length_error_mm",
                    "off_mm",
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


@dataclass(frozen=True)
class Overlay:
    """What is laid over the picture: its viewBox, and as path data what was found in it, the curve
    that was made, and its axis; empty where there is none.
    """

    box: str
    found: str
    curve: str
    axis: str


def overlay(desk: Desk, record: Tracing) -> Overlay:
    """Of one tracing, on its picture or, of a drawing, on its own outline."""
    size = _size(desk, record)
    found = record.findings
    run = np.array(record.points or np.zeros((0, 2)))
    scaled = run / 100 * size if record.image_sha256 else run
    if record.image_sha256:
        box = (0.0, 0.0, float(size[0]), float(size[1]))
    else:
        all_of_it = np.vstack([scaled, np.array(found.get("curve", scaled))])
        low, high = all_of_it.min(axis=0), all_of_it.max(axis=0)
        room = 0.04 * float((high - low).max())
        box = (*(low - room), *(high - low + 2 * room))
    return Overlay(
        box=" ".join(f"{side:.1f}" for side in box),
        found=_path(scaled),
        curve=_path(np.array(found["curve"])) if "curve" in found else "",
        axis=_path(np.array(found["axis"]), closed=False) if "axis" in found else "",
    )


def _path(run: Run, *, closed: bool = True) -> str:
    if not len(run):
        return ""
    open_ended = math.dist(run[0], run[-1]) > 0.05 * float(np.ptp(run, axis=0).max())
    data = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in run)
    return data if open_ended or not closed else data + "Z"


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


def _contour(desk: Desk, sha256: str, inside: str | None) -> list[list[float]]:
    """The outline found in a photograph, in percent of it."""
    image = existing_image(desk, sha256)
    tap = points(inside, 1)[0] if inside else None
    shown = open_photo(desk.images.path(sha256), name=image.name, within=SEEN_PX)
    return _thinned(find_contour(shown, tap).points)


def _thinned(run: Run) -> list[list[float]]:
    """Not every point of a long run; each that is kept is one of its own."""
    step = max(1, math.ceil(len(run) / KEPT))
    kept = [*run[:-1:step], run[-1]]
    return [[round(float(x), 4), round(float(y), 4)] for x, y in kept]


def _size(desk: Desk, record: Tracing) -> tuple[int, int]:
    """Of the picture, in pixels; a drawing is in millimetres already."""
    if record.image_sha256 is None:
        return (1, 1)
    image = existing_image(desk, record.image_sha256)
    return image.width_px, image.height_px


def _fitted(
    run: Sequence[Sequence[float]] | None,
    size: tuple[int, int],
    asked: Mapping[str, Any],
    remarks: Sequence[str],
) -> Json:
    """Stations of the outline, and how well they fit; or what is still lacking."""
    kept = {"remarks": list(remarks), "notes": list(remarks), "problem": ""}
    if run is None:
        return kept | {"problem": "No outline was found yet: tap inside the mould."}
    drawn = size == (1, 1)
    flat = np.array(run, dtype=np.float64) * (1.0 if drawn else np.array(size) / 100)
    scale = _scale(size, asked)
    if scale is None and not drawn and asked["body_mm"] is None:
        return kept | {
            "problem": "The outline is found. Say how large it is: how long the body is, or a "
            "known length in the picture."
        }
    mm = scale.width_mm / size[0] if scale else 1.0
    # In pixels of the picture as it was looked at, which may be smaller than the file's.
    shrunk = max(1.0, max(size) / SEEN_PX)

    def traced(mm: float) -> Traced:
        waver = DRAWN_WAVER_MM if drawn else PHOTO_WAVER * shrunk * mm
        return trace(flat * mm, waver_mm=waver, turned=asked["turned"], halves=asked["halves"])

    if asked["body_mm"] is not None:
        mm = asked["body_mm"] / float(np.ptp(flat, axis=0).max())
        mm *= asked["body_mm"] / traced(mm).body_mm  # along the centre line, now that it is known
    made = traced(mm)
    return kept | {
        "notes": [*remarks, *made.notes],
        "stations": [list(station) for station in made.stations],
        "off_mm": made.off_mm,
        "usually_off_mm": made.usually_off_mm,
        "asymmetry_mm": made.asymmetry_mm,
        "half": made.half,
        "length_error_mm": scale.error * made.body_mm
        if scale and asked["body_mm"] is None
        else None,
        "curve": (made.laid_back() / mm).round(2).tolist(),
        "axis": (np.array(made.axis) / mm).round(2).tolist(),
    }


def _scale(size: tuple[int, int], asked: Mapping[str, Any]) -> Scale | None:
    known = known_length(asked)
    if known is None:
        return None
    if size == (1, 1):
        raise InputError.at(
            "scale_mm", "A drawing has no taps to measure by: say how long the body is instead."
        )
    with in_field("scale_points"):
        return Scale.from_taps(*known, size)


tracings = Tracings()
