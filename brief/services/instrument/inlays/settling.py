"""The columns of an inlay that follow from what was sent: its design, and where it lies."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from brief.errors import InputError
from brief.instrument.inlay.design import WIDTH_LIMITS_MM, dot, read_design, shape_of
from brief.instrument.inlay.measures import measured
from brief.instrument.inlay.places import check_lies, laid_out
from brief.instrument.inlay.spots import Place
from brief.services.common.field_types import Columns, Fields, in_field
from brief.services.instrument.dimensions import instrument_of
from brief.store.records import Brief, Inlay

# Where neither the maker nor the file says: common practice.
USUAL_DOT_MM = 6.0
USUAL_MM = 20.0
# A change of any of these has the inlay laid and measured anew.
OF_PLACE = ("lies_on", "frets", "along_mm", "across_mm", "copies", "turn_deg", "mirrored")


def design_of(shape: str | None, drawing: str | None, record: Inlay | None) -> Columns:
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


def laid_and_measured(brief: Brief, fields: Fields, record: Inlay | None) -> Columns:
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
