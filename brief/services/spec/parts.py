"""The build spec: the parts, what each is made of, and the thread from part back to motif."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal, TypeVar

import numpy as np
from pydantic import BaseModel, Field

from brief.errors import FieldFault, InputError
from brief.instrument.rendering.placement import Laying, Match
from brief.services.common.care import Careful, ListingView, careful, listing_view, made_cautions
from brief.services.common.colour_view import ColourView, colour_view, difference
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Json,
    Line,
    LongLine,
    Title,
    View,
)
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.naming import public_label
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ANumber
from brief.services.instrument.drawn_sizes import drawn_sizes
from brief.services.rack.materials import materials
from brief.services.rack.piece_colours import material_colour, texture_of
from brief.services.rack.piece_views import MaterialView
from brief.services.spec.blanks import Blank, blanks_of, too_small
from brief.services.theme.motifs import MotifView, motifs
from brief.services.theme.palettes import PaletteView, SwatchView, palettes, swatches
from brief.services.theme.references import ReferenceView, references
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Motif, Palette, Part, Reference, Swatch

T = TypeVar("T")
# Below this a stored colour counts as unchanged: rounding, not a new measurement.
SAME_COLOUR = 0.01


class LayingDraft(Draft):
    """How the photograph of a part's wood is laid on it."""

    centre: Annotated[float, ANumber(0, 100, "38 %", ("%",), "%")] = Field(
        0.0,
        description="Percent across the photograph once turned, from its left, that becomes the "
        "joint",
    )
    match: Match = Field(
        "book-right",
        description="Which side of the joint is kept and mirrored to the other; or slip-matched; "
        "or in one piece, with that line in the middle",
    )
    turn: Literal[0, 90, 180, 270] | None = Field(
        None, description="Degrees clockwise; null: the longer side runs with the grain"
    )


class PartDraft(Draft):
    """A part as it is sent."""

    brief_id: Id
    role: Title = Field(examples=["top"], description="Which part of the instrument")
    name: Line = Field("", description="What the maker calls it; the role if left out")
    material_id: Id | None = None
    swatch_id: Id | None = Field(None, description="The colour of the theme it should carry")
    motif_id: Id | None = None
    finish: Line = Field("", examples=["French polish"])
    sizes: LongLine = Field(
        "",
        examples=["2.6 mm thick, 2.4 at the edge"],
        description="Notes on size: what the drawing does not say",
    )
    laying: LayingDraft | None = Field(None, description="null leaves it to the part")


class ChosenView(BaseModel):
    """A material or a swatch that a part was given, as it was chosen and as it is now."""

    id: Id
    label: str
    now: ColourView | None
    chosen: ColourView | None
    changed_by: float | None = Field(
        description="CIEDE2000 since it was chosen; None if it has not changed"
    )
    in_bin: bool
    texture: str | None = None
    in_public: str = Field(description="What others read")


class PartView(Careful, View):
    """A part as it is shown."""

    brief_id: Id
    role: str
    name: str
    finish: str
    sizes: str
    drawn: str = Field(
        description="Its sizes as they are drawn; empty where the drawing has none",
        examples=["152 mm wide, 27 mm deep"],
    )
    too_small: str = Field(
        description="Where the piece is known to be smaller than the part needs, by how much; "
        "otherwise empty"
    )
    material: ChosenView | None
    swatch: ChosenView | None
    motif_id: Id | None
    motif_name: str | None
    off_target: float | None = Field(
        description="CIEDE2000 between the material and the swatch it should carry"
    )
    off_target_uncertainty: float | None
    laying: LayingDraft | None = Field(description="How its photograph is laid, if it was")
    listing: ListingView | None = Field(description="Of its material; None while it is open")


class Thread(BaseModel):
    """One part followed back to the line of the theme it came from."""

    part: PartView
    material: MaterialView | None
    swatch: SwatchView | None
    palette: PaletteView | None
    reference: ReferenceView | None
    motifs: list[MotifView] = Field(description="Of the part, the swatch and the reference")


class Parts(Noun[Part, PartView]):
    """The parts of the build spec."""

    record, draft, view = Part, PartDraft, PartView
    settled = frozenset({"brief_id"})
    uses = ("material_id", "swatch_id", "motif_id")

    def settle(self, desk: Desk, fields: Fields, record: Part | None) -> Columns:
        """Check that its material, swatch and motif are there to be used; see `Noun.settle`."""
        check_pointers(
            desk,
            fields,
            record,
            brief_id=Brief,
            material_id=Material,
            swatch_id=Swatch,
            motif_id=Motif,
        )
        kept = dict(fields)
        if "name" in fields and not fields["name"]:
            kept["name"] = fields.get("role") or (record.role if record else "")
        if fields.get("laying") is not None:
            kept["laying"] = _laying(fields["laying"])
        elif record is not None and "laying" not in fields and _is_other(fields, record):
            kept["laying"] = None  # it was a line in the photograph of another board
        # Choosing anew, even the same thing, takes its colour as it is today.
        if "material_id" in fields:
            material = _get(desk, Material, fields["material_id"])
            kept["chosen_material_lab"] = material.lab if material else None
        if "swatch_id" in fields:
            swatch = _get(desk, Swatch, fields["swatch_id"])
            kept["chosen_swatch_lab"] = swatch.lab if swatch else None
        return kept

    def show(self, desk: Desk, record: Part) -> PartView:
        """The part, with what it is made of and how large it is drawn."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Part]) -> list[PartView]:
        """As `show`; the drawing of each brief is worked out once."""
        # The drawing of each brief is worked out only once.
        drawn: dict[str, str] = {}
        blanks: dict[str, Blank | None] = {}
        for brief_id in dict.fromkeys(record.brief_id for record in records):
            brief = desk.session.get_one(Brief, brief_id)
            its = [record for record in records if record.brief_id == brief_id]
            drawn |= drawn_sizes(desk, brief, its)
            blanks |= blanks_of(desk, brief, its)
        return [self._show(desk, record, drawn[record.id], blanks[record.id]) for record in records]

    def _show(self, desk: Desk, record: Part, drawn: str, blank: Blank | None) -> PartView:
        material = _get(desk, Material, record.material_id)
        swatch = _get(desk, Swatch, record.swatch_id)
        motif = _get(desk, Motif, record.motif_id)
        off_target = uncertainty = None
        if material and swatch and material.lab:
            off_target = difference(material.lab, swatch.lab)
            uncertainty = float(np.hypot(material.uncertainty or 0.0, swatch.uncertainty))
        return PartView(
            **view_fields(record, "brief_id", "role", "name", "finish", "sizes", "motif_id"),
            drawn=drawn,
            too_small=too_small(blank, material) if material else "",
            material=_chosen_material(record, material) if material else None,
            swatch=_chosen_swatch(record, swatch) if swatch else None,
            motif_name=motif.name if motif else None,
            off_target=off_target,
            off_target_uncertainty=uncertainty,
            laying=None if record.laying is None else LayingDraft(**record.laying),
            listing=listing_view(material) if material else None,
            **careful(made_cautions(record.role, record.finish, material)),
        )

    def target_of(self, desk: Desk, record: Part) -> Sequence[float] | None:
        """The colour that it should carry, CIELAB; None where none is wanted."""
        swatch = _get(desk, Swatch, record.swatch_id)
        return swatch.lab if swatch else None

    def thread(self, desk: Desk, record_id: str) -> Thread:
        """Part → swatch → palette → reference → motifs, as far as it goes."""
        part = self.get(desk, record_id)
        material = _get(desk, Material, part.material_id)
        swatch = _get(desk, Swatch, part.swatch_id)
        palette = _get(desk, Palette, swatch.palette_id if swatch else None)
        reference = _get(desk, Reference, palette.reference_id if palette else None)
        found = {
            motif.id: motif
            for motif in (
                _get(desk, Motif, part.motif_id),
                _get(desk, Motif, swatch.motif_id if swatch else None),
                *(reference.motifs if reference else ()),
            )
            if motif is not None and motif.binned_utc is None
        }
        return Thread(
            part=self.show(desk, part),
            material=materials.show(desk, material) if material else None,
            swatch=swatches.show(desk, swatch) if swatch else None,
            palette=palettes.show(desk, palette) if palette else None,
            reference=references.show(desk, reference) if reference else None,
            motifs=motifs.show_all(desk, list(found.values())),
        )


def _is_other(fields: Fields, record: Part) -> bool:
    return "material_id" in fields and fields["material_id"] != record.material_id


def _laying(asked: LayingDraft) -> Json:
    """As it is stored. Raises InputError at the field at fault where nothing could be seen."""
    try:
        Laying.read(dict(asked))
    except InputError as exc:
        exc.faults = tuple(FieldFault(f"/laying{one.pointer}", one.detail) for one in exc.faults)
        raise
    return dict(asked)


def _chosen_material(part: Part, material: Material) -> ChosenView:
    return ChosenView(
        id=material.id,
        label=material.label,
        now=material_colour(material),
        chosen=_colour(part.chosen_material_lab, material.uncertainty),
        changed_by=_changed_by(part.chosen_material_lab, material.lab),
        in_bin=material.binned_utc is not None,
        texture=texture_of(material),
        in_public=public_label(material),
    )


def _chosen_swatch(part: Part, swatch: Swatch) -> ChosenView:
    return ChosenView(
        id=swatch.id,
        label=swatch.name,
        now=colour_view(swatch.lab, swatch.uncertainty),
        chosen=_colour(part.chosen_swatch_lab, swatch.uncertainty),
        changed_by=_changed_by(part.chosen_swatch_lab, swatch.lab),
        in_bin=swatch.binned_utc is not None,
        in_public=swatch.name,
    )


def _get(desk: Desk, record: type[T], record_id: str | None) -> T | None:
    return None if record_id is None else desk.session.get(record, record_id)


def _colour(lab: Sequence[float] | None, uncertainty: float | None) -> ColourView | None:
    return None if lab is None else colour_view(lab, uncertainty or 0.0)


def _changed_by(chosen: Sequence[float] | None, now: Sequence[float] | None) -> float | None:
    if chosen is None or now is None:
        return None
    changed = difference(chosen, now)
    return changed if changed > SAME_COLOUR else None


parts = Parts()
