"""Pairings: whether an inlay works in a timber."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Annotated, Any, ClassVar

import numpy as np
from pydantic import BaseModel, Field

from brief.colour import PairVerdict, judge_pair
from brief.colour.viewing.conditions import Condition
from brief.errors import InputError
from brief.instrument.drawing.pair_sample import SAMPLE_LINE_LIMITS
from brief.services.common.colour_view import ColourView, difference
from brief.services.common.field_types import Columns, Draft, Fields, Id, Lab, Line, View
from brief.services.common.finding import listed
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.formatting import plain
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ALength, Texts, as_said, texts_of
from brief.services.pairing.conditions import asked_about
from brief.services.pairing.sides import Sides, sides_of
from brief.services.pairing.verdict_views import (
    NO_WIDTH,
    VerdictView,
    no_scale,
    verdict_view,
)
from brief.services.photos.remedies import Mend, mends_of
from brief.services.photos.timber_figure import TimberFigure
from brief.services.rack.harmonies import RackHarmonies
from brief.services.rack.piece_colours import material_colour, reading_warning, texture_of
from brief.store.desk import Desk
from brief.store.records import Brief, Material, Pairing, Viewing

LineWidth = Annotated[float, ALength(*SAMPLE_LINE_LIMITS, "1/32 in")]

Colour = tuple[float, float, float]  # CIELAB, D65 / 2°
KEPT = 512  # verdicts in memory, of ten kilobytes or so each


class PairingDraft(Draft):
    """A pairing as it is sent."""

    brief_id: Id
    ground_id: Id = Field(description="The material the inlay is set into")
    inlay_id: Id = Field(description="The material of the inlay")
    place: Line = Field("", examples=["fretboard, 12th fret"])
    line_mm: LineWidth | None = Field(
        None, description="Width of the inlay's line in the drawing, mm; the verdict is without it"
    )


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
    """A pairing as it is shown."""

    brief_id: Id
    place: str
    line_mm: float | None
    as_typed: Texts
    ground: PairedView
    inlay: PairedView
    verdict: VerdictView | None = Field(description="None while a colour is missing")
    mends: list[Mend] = Field(
        description="What the photographs behind the verdict lack: an outline, a size"
    )


class Pairings(Noun[Pairing, PairingView]):
    """Pairs of an inlay and the timber it is set into."""

    record, draft, view = Pairing, PairingDraft, PairingView
    settled = frozenset({"brief_id"})
    hangs_by: ClassVar = {"brief_id": Brief, "ground_id": Material, "inlay_id": Material}

    def settle(self, desk: Desk, fields: Fields, record: Pairing | None) -> Columns:
        """Check that both materials are on the rack and not the same; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, ground_id=Material, inlay_id=Material)
        ground_id = fields.get("ground_id") or (record and record.ground_id)
        inlay_id = fields.get("inlay_id") or (record and record.inlay_id)
        if ground_id == inlay_id:
            raise InputError.at("inlay_id", "An inlay needs another material than its ground.")
        kept = dict(fields)
        for name in ("ground_id", "inlay_id"):
            if name in fields:
                material = desk.session.get_one(Material, fields[name])
                if material.lab is None:
                    raise InputError.at(
                        name,
                        f"“{material.label}” has no colour yet: photograph it, or type a reading.",
                    )
                kept[f"asked_{name.removesuffix('_id')}_lab"] = material.lab
        return kept

    def follow(self, desk: Desk, record: Pairing) -> None:
        """Look its pieces up again: those that were loaded may be the ones it had before."""
        desk.session.expire(record, ["ground", "inlay"])

    def show(self, desk: Desk, record: Pairing) -> PairingView:
        """The pairing, with its verdict under every condition of its brief."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Pairing]) -> list[PairingView]:
        """As `show`; the pairs of the rack and the viewing places are looked up once for all."""
        # The rack's own pairs, and where a brief is shown, are looked up only once.
        rack = RackHarmonies(desk)
        sides = sides_of(desk, records)
        mends = mends_of(desk, records)
        viewings: dict[str, Sequence[Viewing]] = {}
        shown = []
        for record in records:
            if record.brief_id not in viewings:
                viewings[record.brief_id] = listed(desk, Viewing, brief_id=record.brief_id)
            verdict = (
                _verdict(record, sides[record.id], rack, viewings[record.brief_id])
                if record.id in sides
                else None
            )
            shown.append(
                PairingView(
                    **view_fields(record, "brief_id", "place", "line_mm"),
                    as_typed=texts_of(record),
                    ground=_paired(record.ground, record.asked_ground_lab),
                    inlay=_paired(record.inlay, record.asked_inlay_lab),
                    verdict=verdict,
                    mends=mends[record.id],
                )
            )
        return shown

    def vet(self, desk: Desk, record: Pairing) -> None:
        """The verdict follows from what is vetted by itself, and would leave renditions behind."""
        _paired(record.ground, record.asked_ground_lab)
        _paired(record.inlay, record.asked_inlay_lab)


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


def line_words(pairing: Pairing) -> str:
    """How wide its line is: "1/32 in (0.79 mm)"; empty without a width."""
    if pairing.line_mm is None:
        return ""
    return as_said(texts_of(pairing).get("line_mm"), plain(pairing.line_mm), "mm")


@dataclass(frozen=True)
class _Wood:
    """All that of the ground is known beyond its colour; told from another by its key."""

    key: str
    cells: Any = field(compare=False)
    figure: TimberFigure | None = field(compare=False)


def verdict_of(pairing: Pairing, sides: Sides, viewings: Sequence[Viewing]) -> PairVerdict:
    """The verdict under every condition of its brief, ranked among nothing; `sides` are its own."""
    asked = asked_about(viewings, (sides.ground, sides.inlay))
    states = [condition.state for condition in asked.conditions]
    return _judged(
        _wood(sides),
        tuple(sides.ground.lab(state) for state in states),
        tuple(sides.inlay.lab(state) for state in states),
        tuple(sides.doubt(state) for state in states),
        photographed=not (pairing.ground.reading and pairing.inlay.reading),
        line_mm=pairing.line_mm,
        conditions=tuple(asked.conditions),
    )


def _verdict(
    pairing: Pairing, sides: Sides, rack: RackHarmonies, viewings: Sequence[Viewing]
) -> VerdictView:
    ground, inlay, figure = pairing.ground, pairing.inlay, sides.figure
    asked = asked_about(viewings, (sides.ground, sides.inlay))
    verdict = verdict_of(pairing, sides, viewings).among(rack.others(ground.id, inlay.id))
    missing = [
        f"The reading of {one.label}: {warning[0].lower()}{warning[1:]}"
        for one in (ground, inlay)
        if (warning := reading_warning(one))
    ]
    missing += asked.missing
    if pairing.line_mm is None:
        missing.append(NO_WIDTH)
    if figure is None and ground.cells is not None:
        missing.append(no_scale(f"The photograph of {ground.label}"))
    return verdict_view(verdict, missing)


def _wood(sides: Sides) -> _Wood:
    cells = sides.ground.material.cells
    kept = None if cells is None else np.asarray(cells, dtype=float)
    told = b"" if kept is None else kept.tobytes()
    figure_key = sides.figure.key if sides.figure else ""
    return _Wood(f"{hashlib.sha256(told).hexdigest()} {figure_key}", kept, sides.figure)


@lru_cache(KEPT)
def _judged(
    wood: _Wood,
    grounds: tuple[Colour, ...],
    inlays: tuple[Colour, ...],
    doubts: tuple[float, ...],
    *,
    photographed: bool,
    line_mm: float | None,
    conditions: tuple[Condition, ...],
) -> PairVerdict:
    """As `judge_pair`, once for all that it follows from; it is ranked among the rack's by others,
    for that changes with every piece.
    """
    return judge_pair(
        grounds,
        inlays,
        ground_cells=wood.cells,
        uncertainty=doubts,
        photographed=photographed,
        line_mm=line_mm,
        conditions=conditions,
        kept=wood.figure.kept if wood.figure else None,
        piece=wood.figure.piece if wood.figure else None,
    )


pairings = Pairings()
