"""Photographs of a piece: in which state, what corrects their colours, what they show."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar, Literal

from pydantic import BaseModel, Field

from brief.colour import lab_to_srgb
from brief.errors import InputError
from brief.photo import (
    WHOLE,
    Correction,
    Evenness,
    Picture,
    Region,
    Scale,
    Selection,
    bounds_of,
    combine,
    count_grain,
    describe_photo,
    evenness_by_surround,
    evenness_of_board,
    evenness_of_chart,
    measure_figure,
    measure_patch,
    one_thread,
    open_photo,
    open_pixels,
    without_glare,
)
from brief.services.care import Careful, careful
from brief.services.colours import ColourView, colour_view
from brief.services.fields import Id, Line, RegionText, View, in_field
from brief.services.measuring import (
    CORRECTION_FIELDS,
    CorrectedDraft,
    CorrectionView,
    PointsText,
    SelectorText,
    Settled,
    asked_anew,
    correction_view,
    found_by_itself,
    known_length,
    points,
    region_in,
    settle_correction,
)
from brief.services.noun import Noun, view_fields
from brief.services.pictures import PictureView, keep_picture, picture_view, title_from
from brief.services.pointers import check_pointers
from brief.services.rack import MaterialDraft, free_label
from brief.services.typed import KnownLength, Texts, texts_of
from brief.store.desk import Desk
from brief.store.records import Image, Material, Photograph
from brief.wood import finish_cautions

State = Literal["bare", "wetted", "finished", "aged", "end grain"]
GRAIN_PX = 2400  # narrow rings must stay apart
FIGURE_PX = 720
SHOWN_PX = 1500  # what a photograph is opened at, once for all else; a fourth of 24 megapixels
# A change of one of these means measuring anew.
MEASURED_BY = frozenset(
    {
        *CORRECTION_FIELDS,
        "selections",
        "surround_region",
        "scale_points",
        "scale_mm",
        "grain_line",
    }
)


class PhotographDraft(CorrectedDraft):
    material_id: Id
    state: State = "bare"
    finish: Line = Field("", description="Which finish, if it is finished")
    selections: list[SelectorText] = Field([], max_length=20, description="Where to measure")
    surround_region: RegionText | None = Field(
        None, description="What lies round the board in it is one white sheet"
    )
    scale_points: PointsText | None = Field(None, description="The two ends of a known length")
    scale_mm: KnownLength | None = Field(None, description="That length")
    grain_line: PointsText | None = Field(None, description="A line to count the grain along")


class EvennessView(BaseModel):
    """How evenly the board is lit."""

    basis: Literal["white surround", "board", "chart"] = Field(description="Told from what")
    end_to_end: float = Field(description="CIEDE2000 between where it is lightest and darkest")
    sentence: str


class FigureView(BaseModel):
    """What the wood does."""

    word: Literal["plain", "straight", "curly", "wild"]
    direction_deg: float | None = Field(
        description="Of the grain: 0 along the picture's width, anticlockwise, below 180"
    )
    strength: float = Field(description="How far the grain runs one way, 0 to 1")
    curl_mm: float | None = Field(
        description="From ripple to ripple, if there are and with a scale"
    )
    dark: ColourView
    light: ColourView


class GrainView(BaseModel):
    """Grain lines along the line that was drawn, or why they were not counted."""

    count: int | None
    reason: str | None
    per_cm: float | None
    per_cm_error: float | None
    spacing_mm: float | None
    confidence: float
    positions: list[tuple[float, float]]


class PhotographView(Careful, View):
    material_id: Id
    picture: PictureView
    state: State
    finish: str
    selections: list[str]
    surround_region: str | None
    scale_points: str | None
    scale_mm: float | None
    as_typed: Texts
    grain_line: str | None
    correction: CorrectionView
    evenness: EvennessView | None = Field(description="None if an earlier version measured it")
    colour: ColourView
    spread: float
    left_out: float = Field(description="Share of the sample that was clipped or glare, 0 to 1")
    figure: FigureView
    grain: GrainView | None
    notes: list[str]


class Photographs(Noun[Photograph, PhotographView]):
    one, many = "photograph", "photographs"
    record, draft, view = Photograph, PhotographDraft, PhotographView
    settled = frozenset({"material_id"})
    filters = ("material_id",)
    hangs_by: ClassVar = {"material_id": "material"}
    made_by_json = False  # a photograph comes as a file

    def settle(
        self, desk: Desk, fields: dict[str, Any], record: Photograph | None
    ) -> dict[str, Any]:
        check_pointers(desk, fields, record, material_id="material")
        if record is not None and fields.keys() & MEASURED_BY:
            asked = asked_anew(record, fields, MEASURED_BY)
            image = desk.session.get_one(Image, record.image_sha256)
            picture = desk.images.path(image.sha256)
            fields |= asked | measured(picture, image.name, asked)
        return fields

    def add_piece(self, desk: Desk, name: str, data: bytes) -> Material:
        """A new piece on the rack from one photograph, labelled by the file's name, with a number
        where a piece is called so already: some phones call every shot image.jpg."""
        material: Material = self.registry["material"].add(
            desk, MaterialDraft(label=free_label(desk, title_from(name)))
        )
        self.add_picture(desk, material.id, name, data)
        return material

    def add_picture(
        self, desk: Desk, material_id: str, name: str, data: bytes, **facts: Any
    ) -> Photograph:
        """A further photograph of a piece; a colour chart in the shot corrects it by itself.

        facts : as a PhotographDraft has them, but for what corrects it.
        """
        fields: dict[str, Any] = dict(PhotographDraft(material_id=material_id, **facts))
        check_pointers(desk, fields, None, material_id="material")
        image = keep_picture(desk, name, data)
        picture = desk.images.path(image.sha256)
        fields |= measured(picture, name, fields, by_itself=True)
        photograph = Photograph(**fields, image_sha256=image.sha256)
        desk.session.add(photograph)
        desk.session.flush()
        self.follow(desk, photograph)
        return photograph

    def follow(self, desk: Desk, record: Photograph) -> None:
        material = desk.session.get_one(Material, record.material_id)
        self.registry["material"].follow(desk, material)
        tests = self.registry["finish test"]
        for test in tests.page(desk, material_id=record.material_id):
            tests.follow(desk, test)

    def show(self, desk: Desk, record: Photograph) -> PhotographView:
        found = record.findings
        figure = found["figure"]
        return PhotographView(
            **view_fields(
                record,
                "material_id",
                "state",
                "finish",
                "selections",
                "surround_region",
                "scale_points",
                "scale_mm",
                "grain_line",
                "spread",
            ),
            as_typed=texts_of(record),
            picture=picture_view(desk, record.image_sha256),
            correction=correction_view(record),
            evenness=found.get("evenness"),
            colour=colour_view(record.lab, record.uncertainty),
            left_out=found["left_out"],
            figure=FigureView(
                word=figure["word"],
                direction_deg=figure["direction_deg"],
                strength=figure["strength"],
                curl_mm=figure["curl_mm"],
                dark=colour_view(figure["dark"], record.uncertainty),
                light=colour_view(figure["light"], record.uncertainty),
            ),
            grain=found["grain"] and GrainView(**found["grain"]),
            notes=found["notes"],
            **careful(finish_cautions(record.finish)),
        )

    def label(self, record: Photograph) -> str:
        return f"{record.finish or record.state} photograph"


@one_thread()
def measured(
    path: Path, name: str, asked: dict[str, Any], *, by_itself: bool = False
) -> dict[str, Any]:
    """What follows from a picture, where to look in it, and what corrects it.

    The texts in `asked` are put in order on the way. by_itself : look for a chart, unasked, and
    say in `asked` what was found. Raises InputError at the field at fault.
    """
    scale = _scale(path, asked)
    picture = open_pixels(path, name=name, within=SHOWN_PX)
    with in_field("selections"):
        selections = [Selection.parse(text) for text in asked["selections"]]
    surround = region_in("surround_region", asked)
    evenness = None
    if surround is not None:
        with in_field("surround_region"):
            evenness = evenness_by_surround(picture, _board(selections), surround, name=name)
            picture = evenness.flatten(picture)
    note = ""
    if by_itself:
        found, settled, note = found_by_itself(picture, name)
        asked |= found
    else:
        settled = settle_correction(asked, picture, name)
    correction = settled.correction
    with in_field("selections"):
        sample = measure_patch(picture, selections, correction=correction, name=name)
        figure = _figure(picture, name, selections, scale, correction)
    evenness = evenness or _evenness(picture, name, asked, settled, selections)
    return {
        "selections": [str(selection) for selection in selections],
        "correction": correction.to_dict(),
        "lab": list(sample.lab),
        "uncertainty": sample.uncertainty,
        "spread": sample.spread,
        "cells": sample.cells.tolist(),
        "findings": {
            "left_out": sample.left_out,
            "evenness": {
                "basis": evenness.basis,
                "end_to_end": evenness.end_to_end,
                "sentence": evenness.sentence,
            },
            "figure": figure,
            "grain": _grain(path, name, asked["grain_line"], scale),
            "notes": [*correction.notes, *_unasked(asked), *([note] if note else [])],
        },
    }


def _board(selections: Sequence[Selection]) -> Region:
    if not selections:
        raise InputError(
            "The white is what lies round the board: outline the wood under “Where to look” first."
        )
    return bounds_of(selections)


def _evenness(
    picture: Picture,
    name: str,
    asked: dict[str, Any],
    settled: Settled,
    selections: Sequence[Selection],
) -> Evenness:
    if settled.chart is not None:
        return evenness_of_chart(settled.chart, asked["chart_age"])
    board = bounds_of(selections) if selections else WHOLE
    return evenness_of_board(picture, board, name=name)


def _unasked(asked: dict[str, Any]) -> Sequence[str]:
    if asked["correct_by"] == "none" or asked["selections"]:
        return ()
    reference = "colour chart" if asked["correct_by"] == "chart" else asked["card"]
    return (
        f"All of the photograph was measured, the {reference} with it: outline the wood under "
        "“Where to look”.",
    )


def _scale(picture: Path, asked: dict[str, Any]) -> Scale | None:
    known = known_length(asked)
    if known is None:
        return None
    with in_field("scale_points"):
        facts = describe_photo(picture)
        return Scale.from_taps(*known, (facts.width, facts.height))


def _figure(
    picture: Picture,
    name: str,
    selections: Sequence[Selection],
    scale: Scale | None,
    correction: Correction,
) -> dict[str, Any]:
    shown = open_photo(picture, name=name, within=FIGURE_PX)
    mask = combine(selections, *shown.size) if selections else None
    figure = measure_figure(shown, without_glare(shown, mask), scale)
    return {
        "word": figure.word,
        "direction_deg": figure.direction_deg,
        "strength": figure.strength,
        "curl_mm": figure.curl_mm,
        "dark": correction.apply_srgb(lab_to_srgb(figure.dark)).tolist(),
        "light": correction.apply_srgb(lab_to_srgb(figure.light)).tolist(),
    }


def _grain(
    picture: Path, name: str, line: str | None, scale: Scale | None
) -> dict[str, Any] | None:
    if not line:
        return None
    with in_field("grain_line"):
        first, second = points(line, 2)
        found = count_grain(open_photo(picture, name=name, within=GRAIN_PX), (first, second), scale)
    return {field: getattr(found, field) for field in GrainView.model_fields}
