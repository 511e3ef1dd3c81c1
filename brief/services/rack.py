"""The rack: the timbers, veneers, shell and metal a maker owns, and how each was measured."""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import AfterValidator, Field
from sqlalchemy import select

from brief.colour import pair_harmony
from brief.colour.notation import parse_colour
from brief.errors import InputError
from brief.photo import PatchSample, Region, measure_patch
from brief.services.colours import READING_UNCERTAINTY, ColourView, colour_view
from brief.services.fields import Draft, Length, Line, LongLine, Title, View, in_field, not_boolean
from brief.services.noun import Noun, view_fields
from brief.services.palettes import RegionText
from brief.services.pictures import PictureView, keep_picture, picture_view, title_from
from brief.store.desk import Desk
from brief.store.records import Material
from brief.wood import cautions


def _currency(given: str) -> str:
    code = given.strip().upper()
    if not re.fullmatch("[A-Z]{3}", code):
        raise InputError("A currency is three letters, such as EUR or GBP")
    return code


Price = Annotated[float, Field(ge=0, le=1e7, allow_inf_nan=False), not_boolean]
Currency = Annotated[str, AfterValidator(_currency)]
Stuff = Literal["timber", "veneer", "shell", "metal", "bone", "stone", "other"]


class MaterialDraft(Draft):
    label: Title = Field(examples=["Feathered walnut, set no. 3"])
    stuff: Stuff = "timber"
    species: Line = Field("", examples=["Juglans nigra"])
    provenance: LongLine = Field("", description="Where it came from, and when")
    length_mm: Length | None = None
    width_mm: Length | None = None
    thickness_mm: Length | None = None
    price: Price | None = None
    currency: Currency = Field("EUR", description="ISO 4217", examples=["GBP"])
    region: RegionText | None = Field(None, description="The part of its photograph to measure")
    reading: str = Field(
        "",
        max_length=100,
        description="A colour read with a handheld instrument; it overrules the photograph",
        examples=["Lab 38.2 9.1 15.4"],
    )


class MaterialView(View):
    label: str
    stuff: Stuff
    species: str
    provenance: str
    length_mm: float | None
    width_mm: float | None
    thickness_mm: float | None
    price: float | None
    currency: str
    region: str | None
    reading: str
    picture: PictureView | None
    texture: str | None = Field(description="Where the measured part of its photograph is")
    colour: ColourView | None = Field(description="None until it is photographed or read")
    measured: str = Field(description="How the colour was come by, in words")
    spread: float | None = Field(description="RMS CIEDE2000 of its own figure")
    cautions: list[str]


class Materials(Noun[Material, MaterialView]):
    one, many = "material", "materials"
    record, draft, view = Material, MaterialDraft, MaterialView
    filters = ("stuff",)
    hangs_by: ClassVar = {}

    def settle(self, desk: Desk, fields: dict[str, Any], record: Material | None) -> dict[str, Any]:
        if fields.get("region"):
            with in_field("region"):
                fields["region"] = str(Region.parse(fields["region"]))
        if record is None or fields.keys() & {"region", "reading"}:
            sha256 = None if record is None else record.image_sha256
            region = fields.get("region", record.region if record else None)
            reading = fields.get("reading", record.reading if record else "")
            fields |= _measured(desk, sha256, region or None, reading)
        return fields

    def add_picture(self, desk: Desk, name: str, data: bytes) -> Material:
        """A new piece from one photograph, labelled by the file's name."""
        material = self.record(
            **self.settle(desk, dict(MaterialDraft(label=title_from(name))), None)
        )
        self._photograph(desk, material, name, data)
        desk.session.add(material)
        desk.session.flush()
        return material

    def photograph(self, desk: Desk, record_id: str, etag: str, name: str, data: bytes) -> Material:
        """Give a piece its photograph, and measure it anew."""
        material = self.get(desk, record_id)
        self._must_match(material, etag)
        material.region = None
        self._photograph(desk, material, name, data)
        desk.session.flush()
        return material

    def _photograph(self, desk: Desk, material: Material, name: str, data: bytes) -> None:
        material.image_sha256 = keep_picture(desk, name, data).sha256
        for field, value in _measured(
            desk, material.image_sha256, material.region, material.reading
        ).items():
            setattr(material, field, value)

    def show(self, desk: Desk, record: Material) -> MaterialView:
        return MaterialView(
            **view_fields(
                record,
                "label",
                "stuff",
                "species",
                "provenance",
                "length_mm",
                "width_mm",
                "thickness_mm",
                "price",
                "currency",
                "region",
                "reading",
                "spread",
            ),
            picture=picture_view(desk, record.image_sha256),
            texture=texture_of(record),
            colour=material_colour(record),
            measured=_how_measured(record),
            cautions=list(cautions(record.stuff, record.species or record.label)),
        )

    def label(self, record: Material) -> str:
        return record.label


def texture_of(material: Material) -> str | None:
    """Where the measured part of its photograph is served."""
    if material.image_sha256 is None:
        return None
    region = f"?region={material.region}" if material.region else ""
    return f"/images/{material.image_sha256}/texture{region}"


def material_colour(material: Material) -> ColourView | None:
    if material.lab is None or material.uncertainty is None:
        return None
    return colour_view(material.lab, material.uncertainty)


class RackHarmonies:
    """The harmony of every pair that the rack could make, to rank one pair among."""

    def __init__(self, desk: Desk) -> None:
        measured = [
            material
            for material in desk.session.scalars(
                select(Material).where(Material.binned_utc.is_(None)).order_by(Material.id)
            )
            if material.lab is not None
        ]
        self._places = {material.id: place for place, material in enumerate(measured)}
        labs = np.array([material.lab for material in measured], dtype=float).reshape(-1, 3)
        self._totals = pair_harmony(labs[:, np.newaxis], labs[np.newaxis, :]).total

    def others(self, ground_id: str, inlay_id: str) -> NDArray[np.float64]:
        """The totals of all pairs of two different pieces but this one, shape (n,)."""
        count = len(self._totals)
        wanted = np.triu(np.ones((count, count), dtype=bool), 1)
        if ground_id in self._places and inlay_id in self._places:
            i, j = sorted((self._places[ground_id], self._places[inlay_id]))
            wanted[i, j] = False
        others: NDArray[np.float64] = self._totals[wanted]
        return others


def _measured(desk: Desk, sha256: str | None, region: str | None, reading: str) -> dict[str, Any]:
    """The measured fields of a material, from its photograph, its reading, or both.

    A reading gives the colour; the photograph then gives only the figure, shifted so that its
    mean is the colour that was read.
    """
    sample: PatchSample | None = None
    if sha256 is not None:
        where = None if region is None else Region.parse(region)
        sample = measure_patch(desk.images.path(sha256), region=where)
    lab = None if sample is None else sample.lab
    uncertainty = None if sample is None else sample.uncertainty
    if reading.strip():
        with in_field("reading"):
            lab = parse_colour(reading)
        uncertainty = READING_UNCERTAINTY
    cells = None
    if sample is not None and lab is not None:
        shift = np.append(np.subtract(lab, sample.lab), 0.0)
        cells = np.round(sample.cells + shift, 5).tolist()
    return {
        "region": region,
        "reading": reading.strip(),
        "lab": None if lab is None else list(lab),
        "uncertainty": uncertainty,
        "spread": None if sample is None else sample.spread,
        "cells": cells,
    }


def _how_measured(material: Material) -> str:
    if material.reading:
        return "read with an instrument"
    if material.image_sha256 is None:
        return "not measured yet"
    return "from its photograph, not corrected for the light"
