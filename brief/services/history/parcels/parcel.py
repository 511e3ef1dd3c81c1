"""A whole brief as one document: what it holds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, SerializerFunctionWrapHandler, model_serializer

from brief.services.common.field_types import Json
from brief.services.history.row_codec import SHA256, RecordTable, Row, kinds, links

VERSION = 1
SCHEMA_FILE = "schema.json"
BRIEFS = "briefs"
MATERIALS = "materials"
KINDS = "kinds"
REVISIONS = "revisions"
# What tells nothing of the brief: a change raises these, even one that is taken back again, and
# reading a comment is no change.
TRACES = frozenset({"version", "changed_utc", "seen_utc"})
Key = tuple[str, str]  # the kind of a record and its id


class Parcel(BaseModel):
    """A brief as data. Records by kind, as addresses name it: `records["motifs"]`."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    schema_file: Literal["schema.json"] = Field("schema.json", alias="$schema")
    version: Literal[1] = Field(1, description="Of this form; a later one is refused")
    program: str = Field(description="The version of the program that wrote it", max_length=40)
    brief_id: str
    records: dict[str, list[Row]]
    links: dict[str, list[Row]] = Field({}, description="What ties one record to another")
    images: list[Row] = []
    missing: list[Annotated[str, Field(pattern=SHA256)]] = Field(
        [], description="SHA-256 of the pictures whose files could not be packed; absent if none"
    )

    def rows(self) -> Iterator[tuple[RecordTable, Row]]:
        """Every record, with its table."""
        for name, rows in self.records.items():
            for row in rows:
                yield kinds()[name], row

    def ties(self) -> Iterator[tuple[RecordTable, Row]]:
        """Every link between records, with its table."""
        for name, rows in self.links.items():
            for row in rows:
                yield links()[name], row

    @property
    def title(self) -> str:
        """The title of the brief."""
        return str(self.records[BRIEFS][0]["title"])

    @property
    def missing_names(self) -> list[str]:
        """What the pictures that are missing were called when they were given."""
        return [str(row["name"]) for row in self.images if row["sha256"] in self.missing]

    @model_serializer(mode="wrap")
    def _without_empty(self, write: SerializerFunctionWrapHandler) -> Json:
        """A whole one is written as it always was, so that older versions read it."""
        written: Json = write(self)
        if not self.missing:
            del written["missing"]
        return written
