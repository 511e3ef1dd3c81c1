"""What is measured of one photograph of a piece, all at once, from its picture opened once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from brief.colour import lab_to_srgb
from brief.errors import InputError
from brief.photo import (
    NOT_KNOWN,
    Correction,
    Evenness,
    PatchSample,
    PhotoLight,
    Picture,
    Region,
    Scale,
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
from brief.photo.files.header import Source
from brief.photo.files.intake import Pixels
from brief.services.common.field_types import Columns, Json, in_field
from brief.services.photos.behind import behind_pages
from brief.services.photos.measured_area import Where, where_to_measure
from brief.services.photos.shot_correction import (
    Settled,
    found_by_itself,
    known_length,
    points,
    region_in,
    settle_correction,
    text_of,
)

GRAIN_PX = 2400  # narrow rings must stay apart
FIGURE_PX = 720
BRIGHTEST_L = 100.0  # white; what does not glow is no brighter
SHOWN_PX = 1500  # what a photograph is opened at, once for all else; a fourth of 24 megapixels


class GrainView(BaseModel):
    """Grain lines along the line that was drawn, or why they were not counted."""

    count: int | None
    reason: str | None
    per_cm: float | None
    per_cm_error: float | None
    spacing_mm: float | None
    confidence: float
    positions: list[tuple[float, float]]


@dataclass(frozen=True)
class PhotoLook:
    """What a photograph shows of which nothing is said: measured where its board was proposed.

    notes : sentences on its correction, and what seems wrong.
    """

    sample: PatchSample
    where: Where
    settled: Settled
    notes: tuple[str, ...]


@one_thread()
def look_at(path: Path, name: str) -> PhotoLook:
    """The colour of a photograph that nothing was asked of, as a new one of a piece is measured.

    Raises ImageError if it cannot be read, InputError if there is nothing to measure in it.
    """
    picture = open_pixels(path, name=name, within=SHOWN_PX)
    settled = found_by_itself(picture, name, describe_photo(path, name=name).light)
    where = where_to_measure(picture, {"selections": [], **settled.asked})
    sample = measure_patch(
        picture,
        where.area.selections,
        where.area.without,
        correction=settled.correction,
        name=name,
    )
    return PhotoLook(sample, where, settled, tuple(_notes(settled, sample)))


@behind_pages
@one_thread()
def measured(
    source: Source, name: str, asked: Mapping[str, Any], *, by_itself: bool = False
) -> Columns:
    """What follows from a picture, where to look in it, and what corrects it: that, too, with its
    texts put in order.

    by_itself : look for a chart, unasked. Raises InputError at the field at fault.
    """
    scale = _scale(source, asked)
    by_file = describe_photo(source, name=name).light
    shot = open_pixels(source, name=name, within=SHOWN_PX)
    white = region_in("surround_region", asked)
    surround = None if white is None else _by_surround(shot, asked, white, name)
    picture = shot if surround is None else surround.flatten(shot)
    if by_itself:
        settled = found_by_itself(picture, name, by_file)
    else:
        settled = settle_correction(asked, picture, name)
    correction = settled.correction
    where = where_to_measure(shot, {**asked, **settled.asked})
    inside = where.area.selections, where.area.without
    with in_field("selections"):
        sample = measure_patch(picture, *inside, correction=correction, name=name)
        as_shot = sample if surround is None else measure_patch(shot, *inside, name=name)
        figure = _figure(picture, name, where, scale, correction)
    evenness = surround or _evenness(picture, name, settled, where)
    return {
        **settled.asked,
        "surround_region": text_of(white),
        "selections": [str(one) for one in inside[0]] if where.by == "drawn" else [],
        "correction": correction.to_dict(),
        "lab": list(sample.lab),
        "uncertainty": sample.uncertainty,
        "spread": sample.spread,
        "cells": sample.cells.tolist(),
        "findings": {
            "where": where.stored(),
            "as_shot": list(as_shot.as_shot),
            "left_out": sample.left_out,
            "evenness": {
                "basis": evenness.basis,
                "end_to_end": evenness.end_to_end,
                "sentence": evenness.sentence,
            },
            "figure": figure,
            "grain": _grain(source, name, asked["grain_line"], scale),
            "notes": [*_notes(settled, sample), *_read_in_file(settled, by_file)],
        },
    }


def _notes(settled: Settled, sample: PatchSample) -> list[str]:
    """On the correction, and what seems wrong."""
    others = (settled.note, _beyond_white(sample.lab))
    return [*settled.correction.notes, *filter(None, others)]


def _read_in_file(settled: Settled, light: PhotoLight) -> list[str]:
    """Where the light that counts is the one the file tells."""
    asked = settled.asked
    if light == NOT_KNOWN or asked["light"] != light or asked["correct_by"] == "chart":
        return []
    return [f"The light was read in the file: {light}. Change it if that is wrong."]


def _beyond_white(lab: Sequence[float]) -> str:
    if lab[0] <= BRIGHTEST_L:
        return ""
    return (
        f"It comes out brighter than white (L {lab[0]:.0f}): was the card or chart in the shade, "
        "or is it another one? Photograph both in one light."
    )


def _by_surround(shot: Pixels, asked: Mapping[str, Any], white: Region, name: str) -> Evenness:
    """The light on the board by the white round it."""
    where = where_to_measure(shot, asked)
    with in_field("surround_region"):
        if where.by == "whole":
            raise InputError(
                "The white is what lies round the board: outline the wood under “Choose the area” "
                "first."
            )
        return evenness_by_surround(shot, where.area.bounds, white, name=name)


def _evenness(picture: Picture, name: str, settled: Settled, where: Where) -> Evenness:
    if settled.chart is not None:
        return evenness_of_chart(
            settled.chart, settled.asked["chart_age"], settled.correction.curve
        )
    return evenness_of_board(picture, where.bounds, name=name)


def _scale(picture: Source, asked: Mapping[str, Any]) -> Scale | None:
    known = known_length(asked)
    if known is None:
        return None
    with in_field("scale_points"):
        facts = describe_photo(picture)
        return Scale.from_taps(*known, (facts.width, facts.height))


def _figure(
    picture: Picture,
    name: str,
    where: Where,
    scale: Scale | None,
    correction: Correction,
) -> Json:
    shown = open_photo(picture, name=name, within=FIGURE_PX)
    mask = None if where.area.is_whole else where.area.mask(*shown.size)
    figure = measure_figure(shown, without_glare(shown, mask), scale)
    return {
        "word": figure.word,
        "direction_deg": figure.direction_deg,
        "strength": figure.strength,
        "curl_mm": figure.curl_mm,
        "dark": correction.apply_srgb(lab_to_srgb(figure.dark)).tolist(),
        "light": correction.apply_srgb(lab_to_srgb(figure.light)).tolist(),
    }


def _grain(picture: Source, name: str, line: str | None, scale: Scale | None) -> Json | None:
    if not line:
        return None
    with in_field("grain_line"):
        first, second = points(line, 2)
        found = count_grain(open_photo(picture, name=name, within=GRAIN_PX), (first, second), scale)
    return {field: getattr(found, field) for field in GrainView.model_fields}
