"""Inlays: the maker's own designs, where they lie, and what the saw and the blank have to be."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Annotated, Any, ClassVar, Literal, TypeVar

from pydantic import BaseModel, BeforeValidator, Field, TypeAdapter

from brief.english import agree, number_of, words
from brief.errors import InputError
from brief.instrument.drawing.inlay_drawing import LiesOn
from brief.instrument.inlay.design import (
    ROOM_MM,
    WIDTH_LIMITS_MM,
    check_kept,
    dot,
    measured,
    path_of,
    read_design,
    shape_of,
)
from brief.instrument.inlay.places import (
    check_lies,
    in_words,
    laid_out,
    slots_across,
    under_board,
)
from brief.instrument.inlay.spots import Place
from brief.instrument.inlay.svg.reader import MAX_CHARACTERS
from brief.instrument.inlay.widths import BEHIND_MM
from brief.services.common.care import Careful, careful, inlay_cautions
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Title,
    View,
    in_field,
    not_boolean,
)
from brief.services.common.finding import listed
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ALength, ANumber, Texts, texts_of
from brief.services.instrument.brief_inlays import ROLE, copies_of, place_of
from brief.services.instrument.dimensions import instrument_of
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Material, Part, Record

T = TypeVar("T", bound=Record)
Shape = Literal["drawing", "dot"]
USUAL_DOT_MM, USUAL_MM = 6.0, 20.0  # where neither the maker nor the file says: common practice
MOST_COPIES = 120
# A change of any of these has the inlay laid and measured anew.
OF_PLACE = ("lies_on", "frets", "along_mm", "across_mm", "copies", "turn_deg", "mirrored")


def _frets(given: object) -> object:
    """ "3, 5, 12 12" as a list; a list as it is."""
    if not isinstance(given, str):
        return given or []
    parts = re.split(r"[\s,;]+", given.strip())
    return [int(part) if part.isdecimal() and len(part) < 4 else part for part in parts if part]


def _left_empty(means: int) -> BeforeValidator:
    return BeforeValidator(lambda given: means if given in (None, "") else given)


Along = Annotated[float, ALength(-1000, 1000, "3/8 in")]
Width = Annotated[float, ALength(*WIDTH_LIMITS_MM, "3/8 in")]
Turn = Annotated[float, ANumber(-360, 360, "45°", ("°", "deg", "degrees"), "degrees")]
Fret = Annotated[int, Field(ge=1, le=36), not_boolean]
FRETS = TypeAdapter(Annotated[list[Fret], Field(max_length=72)])
REMARKS = TypeAdapter(list[Annotated[str, Field(max_length=200)]])


class InlayDraft(Draft):
    """An inlay as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["Curlew"])
    shape: Shape = Field("drawing", description="The maker’s own drawing, or a round dot")
    drawing: str | None = Field(
        None,
        max_length=MAX_CHARACTERS,
        description="An SVG document, or the data of a path in mm; of a change: null keeps it",
        examples=["M0 0C8 -3 16 1 24 0L24 2C16 3 8 1 0 4Z"],
    )
    lies_on: LiesOn = "fretboard"
    part_id: Id | None = Field(
        None, description="The part of the spec that it is; the part “inlay” if left out"
    )
    frets: Annotated[list[Fret], Field(max_length=72), BeforeValidator(_frets)] = Field(
        [],
        description="On the fretboard: a copy before each; a fret named twice has two",
        examples=[[3, 5, 7, 9, 12, 12]],
    )
    along_mm: Along | None = Field(
        None,
        description="From the nut, the middle of the bridge or the neck joint; with frets from "
        "midway between two; round the rosette outwards. The middle if left out",
    )
    across_mm: Annotated[Along, _left_empty(0)] = Field(
        0, description="From the centre line to the treble side"
    )
    copies: Annotated[int, Field(ge=1, le=MOST_COPIES), not_boolean, _left_empty(1)] = Field(
        1, description="Round the rosette"
    )
    width_mm: Width | None = Field(
        None, description="Of the design before it is turned; as drawn if left out"
    )
    turn_deg: Annotated[Turn, _left_empty(0)] = Field(0, description="Clockwise")
    mirrored: bool = False


class NarrowView(BaseModel):
    """A narrow spot of an inlay, as it is shown."""

    width_mm: float
    at: tuple[float, float] = Field(description="From the design’s middle, right and down, mm")
    where: str = Field(examples=["at the left end"])


class InlayView(Careful, View):
    """An inlay as it is shown."""

    brief_id: Id
    part_id: Id | None
    part_name: str | None
    role: str = Field(description="Of that part")
    material_id: Id | None
    material_label: str | None
    ground_id: Id | None = Field(description="The material of the part that it lies on")
    name: str
    shape: Shape
    lies_on: LiesOn
    frets: list[int]
    along_mm: float | None
    across_mm: float
    copies: int
    width_mm: float
    as_typed: Texts
    turn_deg: float
    mirrored: bool
    path: str = Field(description="Path data, mm from its middle, filled by the even-odd rule")
    count: int = Field(description="How many copies of it there are")
    place: str = Field(examples=["fretboard, before fret 12"])
    height_mm: float
    area_mm2: float = Field(description="Of one copy")
    edge_mm: float = Field(description="Of one copy: how far the saw goes")
    pieces: int
    holes: int
    points: int = Field(description="How many of its ends run out to a point")
    thinnest: NarrowView
    gap: NarrowView | None
    blank_mm: tuple[float, float]
    sentences: list[str]
    piece: str = Field(
        description="Whether the piece of the rack is large enough; empty where nobody knows"
    )
    remarks: list[str] = Field(description="What was made of the file")
    trouble: str = Field(description="What is wrong with its place; empty where nothing is")


class Inlays(Noun[Inlay, InlayView]):
    """The maker's own inlay designs."""

    record, draft, view = Inlay, InlayDraft, InlayView
    settled = frozenset({"brief_id"})
    uses: ClassVar = ("part_id",)

    def settle(self, desk: Desk, fields: Fields, record: Inlay | None) -> Columns:
        """Read the drawing and check the place; see `Noun.settle`.

        Without a part it gets the brief's part for inlays.
        """
        check_pointers(desk, fields, record, brief_id=Brief, part_id=Part)
        brief = desk.session.get_one(Brief, record.brief_id if record else fields["brief_id"])
        kept = dict(fields)
        if record is None and kept.get("part_id") is None:
            parts = listed(desk, Part, brief_id=brief.id)
            kept["part_id"] = next((part.id for part in parts if part.role == ROLE), None)
        drawing = kept.pop("drawing", None)
        kept |= _design(kept.get("shape"), drawing, record)
        if record is not None and kept.get("lies_on", record.lies_on) != record.lies_on:
            # Where it was on another part says nothing of this one.
            kept = {"frets": [], "along_mm": None, "across_mm": 0.0, "copies": 1} | kept
        if record is None or not kept.keys().isdisjoint((*OF_PLACE, "path", "width_mm")):
            kept |= _laid(brief, kept, record)
        return kept

    def show(self, desk: Desk, record: Inlay) -> InlayView:
        """The inlay, with its sizes, its narrow spots and its cautions."""
        brief = desk.session.get_one(Brief, record.brief_id)
        made, place = instrument_of(brief), place_of(record)
        shape = shape_of(record.path, record.width_mm)
        part = _kept(desk, Part, record.part_id)
        material = _kept(desk, Material, part.material_id if part else None)
        ground = next(
            (
                one.material_id
                for one in listed(desk, Part, brief_id=brief.id)
                if one.role == record.lies_on and one.material_id
            ),
            None,
        )
        copies = copies_of(made, record)
        trouble = ""
        try:
            check_lies(made, laid_out(made, shape, place), place)
        except InputError as exc:
            trouble = str(exc)
        found = record.measured
        thinnest = _narrow(found["thinnest"], found)
        gap = _narrow(found["gap"], found) if found["gap"] else None
        crossed = slots_across(made, copies) if place.lies_on == "fretboard" else []
        covered = under_board(made, copies) if place.lies_on == "rosette" else 0
        plain = {name: found[name] for name in ("height_mm", "area_mm2", "edge_mm", "pieces")}
        return InlayView(
            **view_fields(
                record,
                *("brief_id", "name", "shape", "lies_on", "frets", "along_mm", "across_mm"),
                *("copies", "width_mm", "turn_deg", "mirrored", "remarks"),
            ),
            **plain,
            as_typed=texts_of(record),
            part_id=part.id if part else None,
            part_name=part.name if part else None,
            role=part.role if part else ROLE,
            material_id=material.id if material else None,
            **careful(inlay_cautions(material)),
            material_label=material.label if material else None,
            ground_id=ground,
            path=path_of(shape),
            count=len(copies),
            place=in_words(made, place),
            holes=found["holes"],
            points=found["points"],
            thinnest=thinnest,
            gap=gap,
            blank_mm=(found["blank_mm"][0], found["blank_mm"][1]),
            sentences=_sentences(found, thinnest, gap, len(copies), crossed, covered),
            piece=_piece(found, material),
            trouble=trouble,
        )

    def vet(self, desk: Desk, record: Inlay) -> None:
        """What is kept of a drawing is the one thing here that programs read: it must be plain,
        and measured here."""
        with in_field("path"):
            check_kept(record.path)
        FRETS.validate_python(record.frets, strict=True)
        REMARKS.validate_python(record.remarks, strict=True)
        with in_field("measured"):
            found = asdict(measured(record.path, record.width_mm))
            if not _alike(found, record.measured):
                raise InputError("These are not the measurements of its drawing.")
        super().vet(desk, record)


def _alike(one: Any, other: Any) -> bool:
    """Whether two measurements are the same but for rounding, and of the same form."""
    match one:
        case dict():
            return (
                isinstance(other, dict)
                and one.keys() == other.keys()
                and all(_alike(one[name], other[name]) for name in one if name != "at")
                and _is_place(other.get("at"), wanted="at" in one)
            )
        case list() | tuple():
            return (
                isinstance(other, list | tuple)
                and len(one) == len(other)
                and all(map(_alike, one, other))
            )
        case None:
            return other is None
        case _:
            return isinstance(other, int | float) and math.isclose(one, other, rel_tol=0.02)


def _is_place(at: Any, *, wanted: bool) -> bool:
    """Of two places that are as thin as each other, either may be named."""
    if not wanted:
        return True
    return (
        isinstance(at, list | tuple)
        and len(at) == 2
        and all(isinstance(one, int | float) and abs(one) < 1000 for one in at)
    )


def _design(shape: str | None, drawing: str | None, record: Inlay | None) -> Columns:
    """The design that is asked for, where it is not the one that is there."""
    wanted = shape or (record.shape if record else "drawing")
    if wanted == "dot":
        if record is not None and record.shape == "dot":
            return {}
        made = dot()
    elif drawing and drawing.strip():
        with in_field("drawing"):
            made = read_design(drawing)
    elif record is not None and record.shape == "drawing":
        return {}
    else:
        raise InputError.at(
            "drawing", "Choose an SVG file, paste path data, or choose a round dot."
        )
    return {
        "shape": wanted,
        "path": made.path,
        "drawn_mm": made.drawn_mm,
        "remarks": list(made.remarks),
    }


def _laid(brief: Brief, fields: Fields, record: Inlay | None) -> Columns:
    """Its width and what is measured at it, once it is sure that it lies where it is to lie."""

    def now(name: str) -> Any:
        return fields[name] if name in fields else getattr(record, name)

    place = Place(**{name: now(name) for name in OF_PLACE} | {"frets": tuple(now("frets"))})
    if place.frets and place.lies_on != "fretboard":
        raise InputError.at("frets", "Only the fretboard has frets. Leave them empty elsewhere.")
    if place.copies > 1 and place.lies_on != "rosette":
        raise InputError.at("copies", "Only a rosette has copies. Use 1 elsewhere.")
    width = now("width_mm")
    if width is None:
        width = _usual_mm(now("shape"), now("drawn_mm"))
    shape, made = shape_of(now("path"), width), instrument_of(brief)
    check_lies(made, laid_out(made, shape, place), place)
    return {"width_mm": width, "measured": asdict(measured(now("path"), width))}


def _usual_mm(shape: str, drawn_mm: float) -> float:
    """As it is drawn, if that can be the size of an inlay."""
    if shape == "dot":
        return USUAL_DOT_MM
    return drawn_mm if WIDTH_LIMITS_MM[0] <= drawn_mm <= WIDTH_LIMITS_MM[1] else USUAL_MM


def _kept(desk: Desk, record: type[T], record_id: str | None) -> T | None:
    """The record, unless it lies in the offcuts bin."""
    found = desk.session.get(record, record_id) if record_id else None
    return None if found is None or found.binned_utc is not None else found


def _narrow(narrow: Mapping[str, Any], measured: Mapping[str, Any]) -> NarrowView:
    x, y = narrow["at"]
    return NarrowView(
        width_mm=narrow["width_mm"],
        at=(x, y),
        where=_where(x / measured["width_mm"], y / measured["height_mm"]),
    )


def _where(across: float, down: float) -> str:
    """A place in a design, given in shares of its size from its middle, in words."""
    sides = [
        word
        for share, low, high in ((down, "top", "bottom"), (across, "left", "right"))
        if (word := low if share < -0.2 else high if share > 0.2 else "")
    ]
    return f"at the {' '.join(sides)}" if sides else "in the middle"


def _sentences(
    found: Mapping[str, Any],
    thinnest: NarrowView,
    gap: NarrowView | None,
    count: int,
    crossed: Sequence[int],
    covered: int,
) -> list[str]:
    """What was measured, as a maker would be told it."""
    thin = f"Thinnest place {thin_mm(thinnest.width_mm)} mm, {thinnest.where}."
    if even(found):
        thin = f"Nowhere thinner than {thin_mm(min(found['width_mm'], found['height_mm']))} mm."
    if found["points"]:
        thin += (
            f" {number_of(found['points'], 'point')} (measured {BEHIND_MM:g} mm in from the tip)."
        )
    said = [thin]
    if gap and gap.width_mm <= found["height_mm"] / 2:
        said.append(
            f"Narrowest gap {thin_mm(gap.width_mm)} mm, {gap.where}. Use a blade "
            "with a thinner kerf."
        )
    parts = [number_of(found["pieces"], "piece")]
    if found["holes"]:
        parts.append(f"{number_of(found['holes'], 'hole')} to pierce")
    each = " each" if count > 1 else ""
    said.append(
        f"{words(parts)}; {found['edge_mm']:.0f} mm to saw and {found['area_mm2']:.0f} mm² "
        f"to let in{each}."
    )
    said.append(_blank(found))
    if count > 1:
        said.append(
            f"{count} of them: {count * found['edge_mm']:.0f} mm to saw, "
            f"{count * found['area_mm2']:.0f} mm² in all."
        )
    if covered:
        said.append(f"{covered} {agree(covered, 'is', 'are')} under the end of the fretboard.")
    if crossed:
        named = words([str(fret) for fret in crossed])
        said.append(
            f"Fret {agree(crossed, 'slot', 'slots')} {named} "
            f"{agree(crossed, 'cuts', 'cut')} through it: "
            "inlay before slotting."
        )
    return said


def _blank(found: Mapping[str, Any]) -> str:
    """The blank it needs."""
    long, short = found["blank_mm"]
    said = f"From one blank {long:.0f} × {short:.0f} mm"
    if found["pieces"] > 1:
        long, short = found["largest_mm"]
        said += f", or its largest piece from {long:.0f} × {short:.0f} mm"
    return f"{said} ({ROOM_MM:g} mm of margin)."


def _piece(found: Mapping[str, Any], material: Material | None) -> str:
    """Whether the piece of the rack is large enough, as far as its size is known."""
    if material is None or material.length_mm is None or material.width_mm is None:
        return ""
    has = sorted((material.length_mm, material.width_mm), reverse=True)
    for least, of_what in ((found["blank_mm"], ""), (found["largest_mm"], " for its pieces")):
        if has[0] >= least[0] and has[1] >= least[1]:
            return f"{material.label} is large enough{of_what}, {has[0]:g} × {has[1]:g} mm."
    return f"{material.label} is too small, {has[0]:g} × {has[1]:g} mm."


def even(measured: Mapping[str, Any]) -> bool:
    """Whether a design is as thin as it is narrow: a dot, a bar, a square."""
    narrow = min(measured["width_mm"], measured["height_mm"])
    return bool(measured["thinnest"]["width_mm"] == narrow)


def thin_mm(width: float) -> str:
    """A width as a maker reads it off a calliper: hundredths below 1 mm, tenths above."""
    return f"{width:.{2 if width < 1 else 1}f}".rstrip("0").rstrip(".")


inlays = Inlays()
