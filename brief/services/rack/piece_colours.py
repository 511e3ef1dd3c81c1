"""The colour of a piece, from its reading and its bare photographs together."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from sqlalchemy import select

from brief.colour import delta_e_2000
from brief.colour.consensus import combine_colours
from brief.colour.notation.notation import is_of_screen, parse_reading
from brief.english import number_of, words
from brief.photo import COMMON_SHARE, OWN_SHARE
from brief.services.common.colour_view import (
    READING_UNCERTAINTY,
    ColourView,
    colour_view,
    surface_warning,
    uncertainty_of,
)
from brief.services.common.field_types import Columns, Fields, Lab, in_field
from brief.services.photos.measured_area import where_view
from brief.services.photos.pictures import Tone, toned_address
from brief.store.desk import Desk
from brief.store.records import Material, Photograph


def as_shot(material: Material, bare: Sequence[Photograph]) -> bool:
    """Whether its colour is that of photographs which nothing corrects, and of nothing else.

    bare : its bare photographs.
    """
    return bool(bare) and not material.reading and all(one.correct_by == "none" for one in bare)


def texture_of(
    material: Material, lab: Sequence[float] | None = None, size: str = "texture"
) -> str | None:
    """Where the measured part of its photograph is served, what was measured of it in the colour
    that the piece was found to have, or in `lab`; in one of the sizes of pictures.
    """
    shown = lab or material.lab
    if material.image_sha256 is None or shown is None:
        return None
    tone = Tone(tuple(shown), tuple(material.shot_lab) if material.shot_lab else None)
    return toned_address(material.image_sha256, size, material.region, tone)


def material_colour(material: Material) -> ColourView | None:
    """The colour of a piece as it is shown; None while it has none."""
    if material.lab is None or material.uncertainty is None:
        return None
    return colour_view(material.lab, material.uncertainty)


def reading_warning(material: Material) -> str:
    """What to say of a reading that no real surface could have given; else empty."""
    return surface_warning(parse_reading(material.reading).lab) if material.reading else ""


def as_read(desk: Desk, fields: Fields, record: Material | None) -> Columns:
    """What follows from the reading that `fields` give, or from another uncertainty of it."""
    reading = fields.get("reading", record.reading if record else "").strip()
    if record is not None and reading == record.reading:
        stated = fields.get("reading_uncertainty")
        if stated is None:
            stated = record.reading_uncertainty
        doubt = record.reading_doubt
    else:
        stated, doubt = fields.get("reading_uncertainty"), 0.0
        if stated is None and reading:
            with in_field("reading"):
                stated = uncertainty_of(reading)
    stated = stated if reading else None
    bare = bare_photographs(desk, record) if record else ()
    with in_field("reading"):
        found = measured_columns(reading, stated, doubt, bare)
    return found | {"reading": reading, "reading_uncertainty": stated}


def stated_uncertainty(uncertainty: float | None) -> float:
    """Of a reading; one that an earlier version kept is an instrument's."""
    return READING_UNCERTAINTY if uncertainty is None else uncertainty


def reading_note(material: Material) -> str:
    """What its light and observer, or a screen, leave in doubt; empty without a reading."""
    if material.reading and is_of_screen(material.reading):
        doubt = stated_uncertainty(material.reading_uncertainty)
        return f"Written as a screen’s colour, so ± {doubt:g}: screens differ, and so do eyes."
    return parse_reading(material.reading).note if material.reading else ""


def measured_columns(
    reading: str, uncertainty: float | None, doubt: float, bare: Sequence[Photograph]
) -> Columns:
    """What follows from a reading, as it is written and with its own doubt, and photographs.

    Photographs that are corrected alike make one colour first, which keeps the error that they
    have in common; the rest is combined as independent of each other.
    """
    labs = [photograph.lab for photograph in bare]
    sources = [_alike(kind, bare) for kind in dict.fromkeys(one.correct_by for one in bare)]
    if reading:
        read = parse_reading(reading)
        labs.append(list(read.lab))
        sources.append(
            (read.lab, math.hypot(stated_uncertainty(uncertainty), read.uncertainty, doubt))
        )
    combined = combine_colours(*zip(*sources, strict=True)) if sources else None
    first = bare[0] if bare else None
    cells = None
    if combined is not None and first is not None:
        # The figure is the photograph's; its mean is what all sources together say.
        shift = np.append(np.subtract(combined.lab, first.lab), 0.0)
        cells = np.round(np.asarray(first.cells) + shift, 5).tolist()
    return {
        "reading_doubt": doubt,
        "lab": list(combined.lab) if combined else None,
        "uncertainty": combined.uncertainty if combined else None,
        "disagreement": (
            float(delta_e_2000(labs, combined.lab).max()) if combined and len(labs) > 1 else None
        ),
        "spread": first.spread if first else None,
        "cells": cells,
        "image_sha256": first.image_sha256 if first else None,
        "region": where_view(first.selections, first.findings).shown if first else None,
        "shot_lab": first.findings.get("as_shot") if first else None,
    }


def _alike(kind: str, bare: Sequence[Photograph]) -> tuple[Lab, float]:
    """One colour and its uncertainty out of the photographs that are corrected in one way."""
    those = [one for one in bare if one.correct_by == kind]
    doubts = np.array([one.uncertainty for one in those])
    if len(those) == 1:
        lightness, a, b = those[0].lab
        return (lightness, a, b), those[0].uncertainty
    together = combine_colours(
        [one.lab for one in those], OWN_SHARE * doubts, shared=COMMON_SHARE * doubts.min()
    )
    return together.lab, together.uncertainty


def bare_photographs(desk: Desk, material: Material) -> Sequence[Photograph]:
    """Those that say what colour the piece has, oldest first."""
    return desk.session.scalars(
        select(Photograph)
        .where(Photograph.material_id == material.id)
        .where(Photograph.state == "bare")
        .where(Photograph.binned_utc.is_(None))
        .order_by(Photograph.id)
    ).all()


def corrected_by(desk: Desk, pieces: Sequence[Material]) -> dict[str, list[str]]:
    """What the bare photographs of each piece are corrected by, by its id."""
    found: dict[str, list[str]] = {one.id: [] for one in pieces}
    for material_id, by in desk.session.execute(
        select(Photograph.material_id, Photograph.correct_by).where(
            Photograph.material_id.in_(found),
            Photograph.state == "bare",
            Photograph.binned_utc.is_(None),
        )
    ):
        found[material_id].append(by)
    return found


def how_measured(material: Material, by: Sequence[str]) -> str:
    """How the colour was come by, in words. by : what its bare photographs are corrected by."""
    corrected = sum(one != "none" for one in by)
    sources = []
    if material.reading:
        sources.append("a reading")
    if corrected:
        sources.append(number_of(corrected, "corrected photograph"))
    if plain := len(by) - corrected:
        sources.append(f"{number_of(plain, 'photograph')} as shot")
    return f"from {words(sources)}" if sources else "not measured"
