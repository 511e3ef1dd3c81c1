"""Pairings: whether an inlay works in a timber."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from pydantic import AfterValidator, BaseModel, Field

from brief.colour import PairVerdict, judge_pair
from brief.errors import InputError
from brief.services.colours import ColourView, difference
from brief.services.fields import Draft, Id, Lab, Line, View, not_boolean
from brief.services.noun import Noun, view_fields
from brief.services.panel import SAMPLE_LINE_LIMITS
from brief.services.pointers import check_pointers
from brief.services.rack import RackHarmonies, material_colour, texture_of
from brief.store.desk import Desk
from brief.store.records import Material, Pairing

THINNEST_MM, WIDEST_MM = SAMPLE_LINE_LIMITS


def _drawable(width: float) -> float:
    if not THINNEST_MM <= width <= WIDEST_MM:
        raise InputError(f"A line can be {THINNEST_MM:g} to {WIDEST_MM:g} mm wide")
    return width


LineWidth = Annotated[
    float,
    Field(allow_inf_nan=False, json_schema_extra={"minimum": THINNEST_MM, "maximum": WIDEST_MM}),
    AfterValidator(_drawable),
    not_boolean,
]


class PairingDraft(Draft):
    brief_id: Id
    ground_id: Id = Field(description="The material the inlay is set into")
    inlay_id: Id = Field(description="The material of the inlay")
    place: Line = Field("", examples=["fretboard, 12th fret"])
    line_mm: LineWidth | None = Field(
        None, description="Width of the inlay's line in the drawing, mm; the verdict is without it"
    )


class DifferenceView(BaseModel):
    """CIEDE2000 and what it is made of; the parts are signed, inlay less ground."""

    total: float
    uncertainty: float
    lightness: float
    chroma: float
    hue: float


class HarmonyView(BaseModel):
    """Ou and Luo 2006; below 0 is rated disharmonious on plain patches on a screen."""

    total: float
    chromatic: float
    lightness: float
    hue: float
    better_than: float | None = Field(
        description="Share of the rack's other pairs that are less harmonious, 0 to 1"
    )
    rivals: int = Field(description="How many other pairs the rack could make")
    standing: str = Field(description="The same in words", examples=["6 in 10"])


class VerdictView(BaseModel):
    sentence: str
    reading: Literal["reads", "doubtful", "sinks"] = Field(
        description="Of the two colours alone, whatever the width of the line and the distance"
    )
    difference: DifferenceView
    needed: float = Field(description="The difference at which the inlay reads")
    harmony: HarmonyView
    drowned_share: float | None = Field(
        description="Part of the ground's own pixels within 5 CIEDE2000 of the inlay"
    )
    grain: float | None = Field(description="RMS CIEDE2000 of the ground's own figure")


class PairedView(BaseModel):
    """One side of a pairing, as it is now and as it was when the question was asked."""

    id: Id
    label: str
    colour: ColourView | None
    texture: str | None
    asked_lab: Lab
    changed_by: float | None = Field(description="CIEDE2000 since the question was asked")
    in_bin: bool


class PairingView(View):
    brief_id: Id
    place: str
    line_mm: float | None
    ground: PairedView
    inlay: PairedView
    verdict: VerdictView | None = Field(description="None while a colour is missing")


class Pairings(Noun[Pairing, PairingView]):
    one, many = "pairing", "pairings"
    record, draft, view = Pairing, PairingDraft, PairingView
    settled = frozenset({"brief_id"})
    hangs_by: ClassVar = {"brief_id": "brief", "ground_id": "material", "inlay_id": "material"}

    def settle(self, desk: Desk, fields: dict[str, Any], record: Pairing | None) -> dict[str, Any]:
        check_pointers(
            desk, fields, record, brief_id="brief", ground_id="material", inlay_id="material"
        )
        ground_id = fields.get("ground_id") or (record and record.ground_id)
        inlay_id = fields.get("inlay_id") or (record and record.inlay_id)
        if ground_id == inlay_id:
            raise InputError.at("inlay_id", "An inlay needs another material than its ground.")
        for field in ("ground_id", "inlay_id"):
            if field in fields:
                material = desk.session.get_one(Material, fields[field])
                if material.lab is None:
                    raise InputError.at(
                        field,
                        f"“{material.label}” has no colour yet: photograph it, or type a reading.",
                    )
                fields[f"asked_{field.removesuffix('_id')}_lab"] = material.lab
        return fields

    def show(self, desk: Desk, record: Pairing) -> PairingView:
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Pairing]) -> list[PairingView]:
        # The rack's own pairs are worked out only once.
        rack = RackHarmonies(desk)
        return [self._show(desk, record, rack) for record in records]

    def _show(self, desk: Desk, record: Pairing, rack: RackHarmonies) -> PairingView:
        ground, inlay = record.ground, record.inlay
        return PairingView(
            **view_fields(record, "brief_id", "place", "line_mm"),
            ground=_paired(ground, record.asked_ground_lab),
            inlay=_paired(inlay, record.asked_inlay_lab),
            verdict=_verdict(ground, inlay, rack),
        )

    def label(self, record: Pairing) -> str:
        return f"{record.inlay.label} on {record.ground.label}"


def _paired(material: Material, asked_lab: list[float]) -> PairedView:
    lightness, a, b = asked_lab
    return PairedView(
        id=material.id,
        label=material.label,
        colour=material_colour(material),
        texture=texture_of(material),
        asked_lab=(lightness, a, b),
        changed_by=None if material.lab is None else difference(asked_lab, material.lab),
        in_bin=material.binned_utc is not None,
    )


def _verdict(ground: Material, inlay: Material, rack: RackHarmonies) -> VerdictView | None:
    if ground.lab is None or inlay.lab is None:
        return None
    verdict = judge_pair(
        ground.lab,
        inlay.lab,
        ground_cells=None if ground.cells is None else np.asarray(ground.cells, dtype=float),
        uncertainty=float(np.hypot(ground.uncertainty or 0.0, inlay.uncertainty or 0.0)),
        photographed=not (ground.reading and inlay.reading),
        rival_harmonies=rack.others(ground.id, inlay.id),
    )
    return verdict_view(verdict)


def verdict_view(verdict: PairVerdict) -> VerdictView:
    return VerdictView(
        sentence=verdict.sentence,
        reading=verdict.reading,
        difference=DifferenceView(
            total=float(verdict.difference.total),
            uncertainty=verdict.uncertainty,
            lightness=float(verdict.difference.lightness),
            chroma=float(verdict.difference.chroma),
            hue=float(verdict.difference.hue),
        ),
        needed=verdict.needed,
        harmony=HarmonyView(
            total=float(verdict.harmony.total),
            chromatic=float(verdict.harmony.chromatic),
            lightness=float(verdict.harmony.lightness),
            hue=float(verdict.harmony.hue),
            better_than=verdict.better_than,
            rivals=verdict.rivals,
            standing=verdict.standing,
        ),
        drowned_share=verdict.drowned_share,
        grain=verdict.grain,
    )
