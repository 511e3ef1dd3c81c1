"""Palettes pulled out of pictures, and the swatches that are named from them or typed in."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, Field
from sqlalchemy import select

from brief.colour.notation.notation import parse_colour
from brief.colour.notation.wording import colour_words
from brief.english import number_of, words
from brief.errors import InputError
from brief.photo import (
    Correction,
    PaletteColour,
    PhotoPalette,
    Region,
    extract_palette,
    no_correction,
)
from brief.services.common.colour_view import (
    SCREEN_UNCERTAINTY,
    TYPED_UNCERTAINTY,
    ColourView,
    colour_view,
    surface_warning,
    uncertainty_of,
)
from brief.services.common.field_types import (
    Columns,
    Draft,
    Fields,
    Id,
    Json,
    Line,
    RegionText,
    View,
    in_field,
)
from brief.services.common.foreign_keys import check_pointers, existing
from brief.services.common.naming import label
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ANumber
from brief.store.desk import Desk
from brief.store.records import Brief, Motif, Palette, Reference, Swatch


def _as_count(given: object) -> object:
    """One sentence for what whole number and "auto" would otherwise say apart."""
    if given != "auto" and not re.fullmatch(r"[+-]?\d{1,9}", str(given)):
        raise InputError("The number of colours must be between 1 and 12, or auto")
    return given


Doubt = Annotated[float, ANumber(0, 100, "2.5")]
Count = Annotated[int | Literal["auto"], BeforeValidator(_as_count)]


class PaletteDraft(Draft):
    """A palette as it is asked for."""

    reference_id: Id
    name: Line = ""
    colours: Count = Field(6, description="1 to 12, or auto; 1 is the mean")
    region: RegionText | None = None
    seed: int = Field(0, ge=0, le=2**31 - 1)


class PaletteColourView(BaseModel):
    """A colour of a palette as it is shown."""

    colour: ColourView
    palette_index: int = Field(description="By which a swatch is named from it")
    share: float = Field(description="Its part of the picture, 0 to 1")
    spread: float = Field(description="RMS CIEDE2000 of its pixels about it")
    spot: tuple[float, float] = Field(description="Where it is found best, percent of the picture")
    swatch_ids: list[Id] = Field(description="The swatches named from it")


class PaletteView(View):
    """A palette as it is shown."""

    brief_id: Id
    reference_id: Id
    reference_title: str
    name: str
    asked: str = Field(description="How many colours were asked for, or auto")
    region: str | None
    seed: int
    algorithm: str
    corrected: bool = Field(description="Whether something in the shot corrected its colours")
    colours: list[PaletteColourView]
    accents: list[PaletteColourView] = Field(
        description="Small colours far from all these, the most striking first; "
        "their pixels are counted in the colours, too"
    )


class Palettes(Noun[Palette, PaletteView]):
    """Palettes pulled out of pictures."""

    record, draft, view = Palette, PaletteDraft, PaletteView
    settled = frozenset({"reference_id", "colours", "region", "seed"})
    filters = ("brief_id", "reference_id")
    hangs_by: ClassVar = {"brief_id": Brief, "reference_id": Reference}

    def settle(self, desk: Desk, fields: Fields, record: Palette | None) -> Columns:
        """Pull the colours out of the picture of its reference; see `Noun.settle`."""
        if record is not None:
            return dict(fields)
        reference = existing(desk, "reference_id", Reference, fields["reference_id"])
        made, correction = pulled(
            desk, reference, fields["colours"], fields["region"], fields["seed"]
        )
        return {
            "brief_id": reference.brief_id,
            "reference_id": reference.id,
            "name": fields["name"] or reference.title,
            "asked": str(made.asked),
            "region": None if made.region is None else str(made.region),
            "seed": made.seed,
            "algorithm": made.algorithm,
            "correction": correction.to_dict(),
            "uncertainty": correction.uncertainty,
            "colours": [_as_stored(colour) for colour in made.colours],
            "accents": [_as_stored(colour) for colour in made.accents],
        }

    def show(self, desk: Desk, record: Palette) -> PaletteView:
        """The palette, with the swatches named from it."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Palette]) -> list[PaletteView]:
        """As `show`; swatches and references are looked up once for all."""
        asked = [one.reference_id for one in records]
        titles = {
            one.id: label(one)
            for one in desk.session.scalars(select(Reference).where(Reference.id.in_(asked)))
        }
        named: dict[str, dict[int | None, list[str]]] = {one.id: {} for one in records}
        for swatch in desk.session.scalars(
            select(Swatch)
            .where(Swatch.palette_id.in_(named), Swatch.binned_utc.is_(None))
            .order_by(Swatch.id)
        ):
            named[swatch.palette_id or ""].setdefault(swatch.palette_index, []).append(swatch.id)
        return [_shown(one, titles[one.reference_id], named[one.id]) for one in records]


def _shown(
    record: Palette, reference_title: str, named: Mapping[int | None, list[str]]
) -> PaletteView:
    """named : the ids of the swatches of each of its colours, by place."""
    shown = [
        PaletteColourView(
            palette_index=index,
            colour=colour_view(colour["lab"], record.uncertainty),
            share=colour["share"],
            spread=colour["spread"],
            spot=colour["spot"],
            swatch_ids=named.get(index, []),
        )
        for index, colour in enumerate([*record.colours, *record.accents])
    ]
    return PaletteView(
        **view_fields(
            record, "brief_id", "reference_id", "name", "asked", "region", "seed", "algorithm"
        ),
        reference_title=reference_title,
        corrected=bool(record.correction and record.correction["kind"] != "none"),
        colours=shown[: len(record.colours)],
        accents=shown[len(record.colours) :],
    )


class SwatchDraft(Draft):
    """A colour of a palette (`palette_id`, `palette_index`) or a typed one (`colour`)."""

    brief_id: Id
    name: Line = Field("", description="What it is called; a plain description if left out")
    palette_id: Id | None = None
    palette_index: int | None = Field(
        None, ge=0, description="From 0: its colours, then its accents"
    )
    colour: Line | None = Field(None, examples=["#b37a4c", "lab(50 10 20)", "Lab 50 10 20"])
    uncertainty: Doubt | None = Field(
        None,
        description="Of a typed colour, CIEDE2000. Left out, 0: it is what is meant; "
        f"{SCREEN_UNCERTAINTY:g} of one written as screens have it: a hex code, or CSS",
    )
    motif_id: Id | None = None


class SwatchView(View):
    """A swatch as it is shown."""

    brief_id: Id
    name: str
    colour: ColourView
    warning: str = Field(description="Said of a typed colour that no real surface could have")
    palette_id: Id | None
    palette_index: int | None
    motif_id: Id | None


class Swatches(Noun[Swatch, SwatchView]):
    """Colours of the theme with names, typed or out of a palette."""

    record, draft, view = Swatch, SwatchDraft, SwatchView
    settled = frozenset({"brief_id", "palette_id", "palette_index"})
    uses = ("motif_id",)
    hangs_by: ClassVar = {"brief_id": Brief, "palette_id": Palette}

    def settle(self, desk: Desk, fields: Fields, record: Swatch | None) -> Columns:
        """Read a typed colour, or find the palette's; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief, palette_id=Palette, motif_id=Motif)
        kept = dict(fields)
        typed = kept.pop("colour", None)
        if typed is not None:
            if record is not None and record.palette_id is not None:
                raise InputError.at(
                    "colour", "This colour came out of a palette; make a new swatch to type one."
                )
            with in_field("colour"):
                kept["lab"] = list(parse_colour(typed))
            if fields.get("uncertainty") is None:
                kept["uncertainty"] = uncertainty_of(typed, TYPED_UNCERTAINTY)
        elif fields.get("uncertainty") is None:
            kept.pop("uncertainty", None)
        elif record is None or record.palette_id is not None:
            raise InputError.at(
                "uncertainty", "This colour is out of a palette, which says how sure it is."
            )
        if record is None:
            if typed is None:
                kept["lab"], kept["uncertainty"] = _palette_colour(desk, fields)
            elif fields["palette_id"] is not None:
                raise InputError.at("colour", "Give a palette's colour or a typed one, not both.")
            else:
                kept["palette_index"] = None
        if "name" in fields and not fields["name"]:
            kept["name"] = colour_words(kept["lab"] if record is None else record.lab)
        return kept

    def show(self, desk: Desk, record: Swatch) -> SwatchView:
        """The swatch, with a warning about a typed colour that no real surface could have."""
        return SwatchView(
            **view_fields(record, "brief_id", "name", "palette_id", "palette_index", "motif_id"),
            colour=colour_view(record.lab, record.uncertainty),
            warning="" if record.palette_id else surface_warning(record.lab),
        )

    def vet(self, desk: Desk, record: Swatch) -> None:
        """Refuse a place that its palette does not have; see `Noun.vet`."""
        if record.palette_id is not None and record.palette_index is not None:
            colour_at(desk.session.get_one(Palette, record.palette_id), record.palette_index)


def pulled(
    desk: Desk,
    reference: Reference,
    colours: int | Literal["auto"],
    region: str | None,
    seed: int = 0,
) -> tuple[PhotoPalette, Correction]:
    """The colours of a reference's picture, or of a region of it, and what corrected them.

    Raises InputError of a passage, and as `extract_palette`.
    """
    if reference.image_sha256 is None:
        raise InputError.at(
            "reference_id", "A palette is pulled out of a picture; this is a passage."
        )
    with in_field("region"):
        part = Region.parse(region) if region else None
    correction = (
        Correction.from_dict(reference.correction) if reference.correction else no_correction()
    )
    made = extract_palette(
        desk.images.path(reference.image_sha256),
        name=desk.image_name(reference.image_sha256),
        colours=colours,
        region=part,
        seed=seed,
        correction=correction,
    )
    return made, correction


def _palette_colour(desk: Desk, fields: Fields) -> tuple[list[float], float]:
    if fields["palette_id"] is None or fields["palette_index"] is None:
        raise InputError.at(
            "colour",
            "A swatch needs a colour: type one, such as #b37a4c or Lab 56 17 34, "
            "or take one from a palette.",
        )
    palette = desk.session.get_one(Palette, fields["palette_id"])
    return colour_at(palette, fields["palette_index"])["lab"], palette.uncertainty


def colour_at(palette: Palette, index: int) -> Json:
    """A colour as it is stored, counted from 0: the palette's colours, then its accents.

    Raises InputError where it has none.
    """
    kept = [*palette.colours, *palette.accents]
    if not 0 <= index < len(kept):
        counts = [(len(palette.colours), "colour"), (len(palette.accents), "accent")]
        has = words([number_of(n, one) for n, one in counts if n])
        raise InputError.at("palette_index", f"The palette has {has}, counted from 0.")
    found: Json = kept[index]
    return found


def _as_stored(colour: PaletteColour) -> Json:
    return {
        "lab": list(colour.lab),
        "share": colour.share,
        "spread": colour.spread,
        "spot": list(colour.spot),
    }


palettes = Palettes()
swatches = Swatches()
