"""The JSON Schema of a parcel."""

from __future__ import annotations

from pydantic.json_schema import models_json_schema

from brief.services.common.field_types import Json
from brief.services.history.parcels.parcel import Parcel
from brief.services.history.row_codec import RecordTable, images, kinds, links


def schema() -> Json:
    """The JSON Schema (2020-12) of the document, with every column of every table in it."""
    described = Parcel.model_json_schema(by_alias=True)
    rows = [kind.row for kind in (*kinds().values(), *links().values(), images())]
    # All in one go: pydantic then tells apart two models of one name, such as the part of a spec
    # and the part of a kind of instrument.
    places, definitions = models_json_schema([(row, "validation") for row in rows])

    def row_of(kind: RecordTable) -> Json:
        return places[(kind.row, "validation")]

    for part, tables in (("records", kinds()), ("links", links())):
        fields = {name: {"type": "array", "items": row_of(kind)} for name, kind in tables.items()}
        described["properties"][part] |= {"properties": fields, "additionalProperties": False}
    described["properties"]["images"]["items"] = row_of(images())
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **described,
        "title": "A brief, taken along",
        **definitions,
    }
