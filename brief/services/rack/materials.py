"""The rack: the timbers, veneers, shell and metal a maker owns, and how each was measured."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from typing import ClassVar

from sqlalchemy import select

from brief.services.common.amounts import check_amounts
from brief.services.common.care import careful, listing_view, piece_cautions
from brief.services.common.field_types import Columns, Fields
from brief.services.common.finding import look_up
from brief.services.common.naming import public_label
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import texts_of
from brief.services.photos.pictures import picture_view
from brief.services.rack.density import WEIGHED_BY, check_weight, density_of
from brief.services.rack.piece_colours import (
    as_read,
    bare_photographs,
    corrected_by,
    how_measured,
    material_colour,
    measured_columns,
    reading_note,
    reading_warning,
    stated_uncertainty,
    texture_of,
)
from brief.services.rack.piece_views import MaterialDraft, MaterialView
from brief.store.desk import Desk
from brief.store.records import Image, Material


class Materials(Noun[Material, MaterialView]):
    """The pieces of the rack."""

    record, draft, view = Material, MaterialDraft, MaterialView
    filters = ("stuff",)
    hangs_by: ClassVar = {}

    def settle(self, desk: Desk, fields: Fields, record: Material | None) -> Columns:
        """Read the typed colour and the price; see `Noun.settle`."""
        kept = dict(fields)
        if "reading" in fields or "reading_uncertainty" in fields:
            kept |= as_read(desk, fields, record)
        known = record.currency if record else ""
        check_amounts(fields, fields.get("currency") or known, "price")
        if fields.keys() & set(WEIGHED_BY):
            check_weight([fields.get(name, getattr(record, name, None)) for name in WEIGHED_BY])
        return kept

    def follow(self, desk: Desk, record: Material) -> None:
        """Work its colour out anew, from its reading and its bare photographs."""
        if record.binned_utc is not None:
            return  # they lie there with it, and parts still show what they were to be made of
        bare = bare_photographs(desk, record)
        by_reading = record.reading, record.reading_uncertainty, record.reading_doubt
        for field, value in measured_columns(*by_reading, bare).items():
            if getattr(record, field) != value:
                setattr(record, field, value)
        desk.session.flush()

    def show(self, desk: Desk, record: Material) -> MaterialView:
        """The piece, with its colour and its cautions."""
        return self.show_all(desk, [record])[0]

    def show_all(self, desk: Desk, records: Sequence[Material]) -> list[MaterialView]:
        """As `show`; pictures and photographs are looked up once for all."""
        look_up(desk, Image, [one.image_sha256 for one in records if one.image_sha256])
        by = corrected_by(desk, records)
        return [self._shown(desk, one, by[one.id]) for one in records]

    def _shown(self, desk: Desk, record: Material, by: Sequence[str]) -> MaterialView:
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
            reading_uncertainty=stated_uncertainty(record.reading_uncertainty)
            if record.reading
            else None,
            reading_note=reading_note(record),
            picture=picture_view(desk, record.image_sha256) if record.image_sha256 else None,
            texture=texture_of(record),
            colour=material_colour(record),
            measured=how_measured(record, by),
            warning=reading_warning(record),
            disagreement=record.disagreement,
            listing=listing_view(record),
            **careful(piece_cautions(record)),
        )


def free_label(desk: Desk, wanted: str) -> str:
    """`wanted`; where a piece on the rack has that label, the first free of `wanted` 2, 3, 4."""
    taken = set(desk.session.scalars(select(Material.label).where(Material.binned_utc.is_(None))))
    numbered = (f"{wanted[:190]} {number}" for number in count(2))
    return wanted if wanted not in taken else next(one for one in numbered if one not in taken)


materials = Materials()
