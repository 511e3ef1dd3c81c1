"""Inlays: the maker's own designs, where they lie, and what the saw and the blank have to be."""

from __future__ import annotations

from dataclasses import asdict
from typing import ClassVar, TypeVar

from brief.errors import InputError
from brief.instrument.inlay.design import check_kept, shape_of
from brief.instrument.inlay.measures import measured
from brief.instrument.inlay.places import check_lies, in_words, laid_out, slots_across, under_board
from brief.instrument.inlay.polygons import path_of
from brief.services.common.care import careful, inlay_cautions
from brief.services.common.field_types import Columns, Fields, in_field
from brief.services.common.finding import listed
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import texts_of
from brief.services.instrument.brief_inlays import ROLE, copies_of, place_of
from brief.services.instrument.dimensions import instrument_of
from brief.services.instrument.inlays.draft import FRETS, REMARKS, InlayDraft
from brief.services.instrument.inlays.settling import OF_PLACE, design_of, laid_and_measured
from brief.services.instrument.inlays.vetting import alike
from brief.services.instrument.inlays.view import InlayView
from brief.services.instrument.inlays.wording import narrow_view, piece_words, sentences
from brief.store.desk import Desk
from brief.store.records import Brief, Inlay, Material, Part, Record

T = TypeVar("T", bound=Record)


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
        kept |= design_of(kept.get("shape"), drawing, record)
        if record is not None and kept.get("lies_on", record.lies_on) != record.lies_on:
            # Where it was on another part says nothing of this one.
            kept = {"frets": [], "along_mm": None, "across_mm": 0.0, "copies": 1} | kept
        if record is None or not kept.keys().isdisjoint((*OF_PLACE, "path", "width_mm")):
            kept |= laid_and_measured(brief, kept, record)
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
        thinnest = narrow_view(found["thinnest"], found)
        gap = narrow_view(found["gap"], found) if found["gap"] else None
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
            sentences=sentences(found, thinnest, gap, len(copies), crossed, covered),
            piece=piece_words(found, material),
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
            if not alike(found, record.measured):
                raise InputError("These are not the measurements of its drawing.")
        super().vet(desk, record)


def _kept(desk: Desk, record: type[T], record_id: str | None) -> T | None:
    """The record, unless it lies in the offcuts bin."""
    found = desk.session.get(record, record_id) if record_id else None
    return None if found is None or found.binned_utc is not None else found


inlays = Inlays()
