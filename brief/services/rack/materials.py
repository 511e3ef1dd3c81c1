"""The rack: the timbers, veneers, shell and metal a maker owns, and how each was measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import count
from typing import Annotated, ClassVar

import numpy as np
from numpy.typing import NDArray
from pydantic import Field
from sqlalchemy import select

from brief.colour import delta_e_2000, pair_harmony
from brief.colour.consensus import combine_colours
from brief.colour.notation.notation import is_of_screen, parse_reading
from brief.english import number_of, words
from brief.errors import InputError
from brief.instrument.model.cut_list import LEAST_DENSITY, MOST_DENSITY
from brief.photo import COMMON_SHARE, OWN_SHARE
from brief.services.common.amounts import Currency, Price, check_amounts
from brief.services.common.care import Careful, ListingView, careful, listing_view, piece_cautions
from brief.services.common.colour_view import (
    READING_UNCERTAINTY,
    SCREEN_UNCERTAINTY,
    ColourView,
    colour_view,
    surface_warning,
    uncertainty_of,
)
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Lab,
    Line,
    LongLine,
    Title,
    View,
    in_field,
)
from brief.services.common.finding import look_up
from brief.services.common.naming import public_label
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ANumber, Size, Texts, texts_of
from brief.services.photos.measured_area import where_view
from brief.services.photos.pictures import PictureView, Tone, picture_view, toned_address
from brief.store.desk import Desk
from brief.store.records import Image, Material, Photograph
from brief.wood import Stuff
from brief.wood.movement import Cut

Density = Annotated[
    float,
    ANumber(LEAST_DENSITY, MOST_DENSITY, "620 kg/m³", ("kg/m³", "kg/m3", "kg/m^3"), unit="kg/m³"),
]
Weight = Annotated[float, ANumber(0.001, 1e6, "410 g", ("g", "gram", "grams"), unit="g")]
Uncertainty = Annotated[float, ANumber(0.01, 100, "2.5")]
WEIGHED_BY = ("weight_g", "length_mm", "width_mm", "thickness_mm")


class MaterialDraft(Draft):
    """A piece of the rack as it is sent."""

    label: Title = Field(examples=["Feathered walnut, set no. 3"])
    public_name: Line = Field(
        "",
        description="What others read; the common name of its species, or its label without shop "
        "numbers, if left out",
        examples=["Black walnut"],
    )
    stuff: Stuff = "timber"
    species: Line = Field("", examples=["Juglans nigra"])
    provenance: LongLine = Field("", description="Where it came from, and when")
    length_mm: Size | None = None
    width_mm: Size | None = None
    thickness_mm: Size | None = None
    cut: Cut = Field(
        "not said", description="How its growth rings run to its face; says how far it moves"
    )
    density: Density | None = None
    weight_g: Weight | None = Field(
        None, description="Of the piece in these sizes; gives its density where none is typed"
    )
    price: Price | None = None
    currency: Currency = Field("EUR", description="ISO 4217", examples=["GBP"])
    reading: str = Field(
        "",
        max_length=100,
        description="A colour read with a handheld instrument, with its light and observer",
        examples=["Lab 38.2 9.1 15.4 D50/10"],
    )
    reading_uncertainty: Uncertainty | None = Field(
        None,
        description="CIEDE2000 within which 9 in 10 such readings are right, but for light and "
        f"observer. Left out, {READING_UNCERTAINTY:g}; {SCREEN_UNCERTAINTY:g} of a colour written "
        "as screens have it: a hex code, or CSS",
    )


class MaterialView(Careful, View):
    """A piece of the rack as it is shown."""

    label: str
    public_name: str
    in_public: str = Field(description="What others read: its public name, or what stands in")
    stuff: Stuff
    species: str
    provenance: str
    length_mm: float | None
    width_mm: float | None
    thickness_mm: float | None
    cut: Cut
    as_typed: Texts
    density: float | None
    weight_g: float | None
    dense: float | None = Field(
        description="kg/m³: its density as typed, else by its weight and sizes; None if unknown"
    )
    price: Price | None
    currency: str
    region: str | None
    reading: str
    reading_uncertainty: float | None = Field(
        description="As stated, or by how it is written; None without a reading"
    )
    reading_note: str = Field(
        description="What its light and observer, or a screen, leave in doubt"
    )
    picture: PictureView | None
    texture: str | None = Field(description="Where the measured part of its photograph is")
    colour: ColourView | None = Field(description="None until it is photographed or read")
    measured: str = Field(description="How the colour was come by, in words")
    warning: str = Field(description="Said of a reading that no real surface could have given")
    disagreement: float | None = Field(
        description="CIEDE2000 by which the source furthest off lies from the colour"
    )
    spread: float | None = Field(description="RMS CIEDE2000 of its own figure")
    listing: ListingView


class Materials(Noun[Material, MaterialView]):
    """The pieces of the rack."""

    record, draft, view = Material, MaterialDraft, MaterialView
    filters = ("stuff",)
    hangs_by: ClassVar = {}

    def settle(self, desk: Desk, fields: Fields, record: Material | None) -> Columns:
        """Read the typed colour and the price; see `Noun.settle`."""
        kept = dict(fields)
        if "reading" in fields or "reading_uncertainty" in fields:
            kept |= _as_read(desk, fields, record)
        known = record.currency if record else ""
        check_amounts(fields, fields.get("currency") or known, "price")
        if fields.keys() & set(WEIGHED_BY):
            _check_weight([fields.get(name, getattr(record, name, None)) for name in WEIGHED_BY])
        return kept

    def follow(self, desk: Desk, record: Material) -> None:
        """Work its colour out anew, from its reading and its bare photographs."""
        if record.binned_utc is not None:
            return  # they lie there with it, and parts still show what they were to be made of
        bare = _bare_photographs(desk, record)
        by_reading = record.reading, record.reading_uncertainty, record.reading_doubt
        for field, value in _measured(*by_reading, bare).items():
            if getattr(record, field) != value:
                setattr(record, field, value)
        desk.session.flush()

    def show(self, desk: Desk, record: Material) -> MaterialView:
        """The piece, with its colour and its cautions."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Material]) -> list[MaterialView]:
        """As `show`; pictures and photographs are looked up once for all."""
        look_up(desk, Image, [one.image_sha256 for one in records if one.image_sha256])
        by = _corrected_by(desk, records)
        return [self._shown(desk, one, by[one.id]) for one in records]

    def _shown(self, desk: Desk, record: Material, corrected_by: Sequence[str]) -> MaterialView:
        return MaterialView(
            **view_fields(
                record,
                "label",
                "public_name",
                "stuff",
                "species",
                "provenance",
                "length_mm",
                "width_mm",
                "thickness_mm",
                "cut",
                "density",
                "weight_g",
                "price",
                "currency",
                "region",
                "reading",
                "spread",
            ),
            in_public=public_label(record),
            as_typed=texts_of(record),
            dense=density_of(record),
            reading_uncertainty=_stated(record.reading_uncertainty) if record.reading else None,
            reading_note=_reading_note(record),
            picture=picture_view(desk, record.image_sha256) if record.image_sha256 else None,
            texture=texture_of(record),
            colour=material_colour(record),
            measured=_how_measured(record, corrected_by),
            warning=reading_warning(record),
            disagreement=record.disagreement,
            listing=listing_view(record),
            **careful(piece_cautions(record)),
        )


def density_of(material: Material) -> float | None:
    """kg/m³: as typed, or by its weight and its sizes; None where neither is known, or where an
    older record has what nothing weighs."""
    found = material.density
    if found is None:
        found = _by_weight([getattr(material, name) for name in WEIGHED_BY])
    return found if found is not None and LEAST_DENSITY <= found <= MOST_DENSITY else None


def _by_weight(weighed: Sequence[float | None]) -> float | None:
    weight_g, *sizes = weighed
    if weight_g is None or None in sizes:
        return None
    volume = math.prod(float(size) for size in sizes if size is not None)
    # Sizes had no least value once, and a product of three can be nought where none of them is.
    return weight_g / volume * 1e6 if volume else None


def _check_weight(weighed: Sequence[float | None]) -> None:
    """Sizes and weight typed in different units would give a density that nothing has."""
    found = _by_weight(weighed)
    if found is not None and not LEAST_DENSITY <= found <= MOST_DENSITY:
        raise InputError.at(
            "weight_g",
            f"By its sizes this would be {found:,.0f} kg/m³, which nothing is. Give the weight in "
            "grams and the sizes of the piece that was weighed in mm.",
        )


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


def measured_labs(desk: Desk) -> dict[str, tuple[float, float, float]]:
    """The colours of the pieces of the rack that have one, CIELAB, D65 / 2°, by id and in order."""
    rows = desk.session.execute(
        select(Material.id, Material.lab).where(Material.binned_utc.is_(None)).order_by(Material.id)
    )
    return {one_id: (lab[0], lab[1], lab[2]) for one_id, lab in rows if lab is not None}


class RackHarmonies:
    """The harmony of every pair that the rack could make, to rank one pair among."""

    def __init__(self, desk: Desk) -> None:
        measured = measured_labs(desk)
        self._places = {one_id: place for place, one_id in enumerate(measured)}
        self._totals = _harmonies(tuple(measured.values()))

    def others(self, ground_id: str, inlay_id: str) -> NDArray[np.float64]:
        """The totals of all pairs of two different pieces but this one, shape (n,)."""
        if ground_id not in self._places or inlay_id not in self._places:
            return self._totals
        i, j = sorted((self._places[ground_id], self._places[inlay_id]))
        before = i * len(self._places) - i * (i + 1) // 2  # pairs of the pieces before the first
        return np.delete(self._totals, before + j - i - 1)


@lru_cache(2)
def _harmonies(labs: tuple[tuple[float, float, float], ...]) -> NDArray[np.float64]:
    """Of each two of these, the pairs of the first one first, shape (n (n - 1) / 2,). A large rack
    takes a fifth of a second, and changes seldom."""
    rack = np.array(labs, dtype=float).reshape(-1, 3)
    one, other = np.triu_indices(len(rack), 1)
    totals = pair_harmony(rack[one], rack[other]).total
    totals.flags.writeable = False  # it is handed to many
    return totals


def _as_read(desk: Desk, fields: Fields, record: Material | None) -> Columns:
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
    bare = _bare_photographs(desk, record) if record else ()
    with in_field("reading"):
        found = _measured(reading, stated, doubt, bare)
    return found | {"reading": reading, "reading_uncertainty": stated}


def _stated(uncertainty: float | None) -> float:
    """Of a reading; one that an earlier version kept is an instrument's."""
    return READING_UNCERTAINTY if uncertainty is None else uncertainty


def _reading_note(material: Material) -> str:
    if material.reading and is_of_screen(material.reading):
        return (
            f"Written as a screen’s colour, so ± {_stated(material.reading_uncertainty):g}: "
            "screens differ, and so do eyes."
        )
    return parse_reading(material.reading).note if material.reading else ""


def _measured(
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
        sources.append((read.lab, math.hypot(_stated(uncertainty), read.uncertainty, doubt)))
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


def free_label(desk: Desk, wanted: str) -> str:
    """`wanted`; where a piece on the rack has that label, the first free of `wanted` 2, 3, 4."""
    taken = set(desk.session.scalars(select(Material.label).where(Material.binned_utc.is_(None))))
    numbered = (f"{wanted[:190]} {number}" for number in count(2))
    return wanted if wanted not in taken else next(one for one in numbered if one not in taken)


def _bare_photographs(desk: Desk, material: Material) -> Sequence[Photograph]:
    """Those that say what colour the piece has, oldest first."""
    return desk.session.scalars(
        select(Photograph)
        .where(Photograph.material_id == material.id)
        .where(Photograph.state == "bare")
        .where(Photograph.binned_utc.is_(None))
        .order_by(Photograph.id)
    ).all()


def _corrected_by(desk: Desk, pieces: Sequence[Material]) -> dict[str, list[str]]:
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


def _how_measured(material: Material, corrected_by: Sequence[str]) -> str:
    corrected = sum(by != "none" for by in corrected_by)
    sources = []
    if material.reading:
        sources.append("a reading")
    if corrected:
        sources.append(number_of(corrected, "corrected photograph"))
    if plain := len(corrected_by) - corrected:
        sources.append(f"{number_of(plain, 'photograph')} as shot")
    return f"from {words(sources)}" if sources else "not measured"


materials = Materials()
