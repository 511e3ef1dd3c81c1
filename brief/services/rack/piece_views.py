"""A piece of the rack as it is sent, and as it is shown."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from brief.services.common.amounts import Currency, Price
from brief.services.common.care import Careful, ListingView
from brief.services.common.colour_view import READING_UNCERTAINTY, SCREEN_UNCERTAINTY, ColourView
from brief.services.common.field_types import Draft, Line, LongLine, Title, View
from brief.services.common.typed_numbers import ANumber, Size, Texts
from brief.services.photos.pictures import PictureView
from brief.services.rack.density import Density, Weight
from brief.wood import Stuff
from brief.wood.movement import Cut

Uncertainty = Annotated[float, ANumber(0.01, 100, "2.5")]


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
