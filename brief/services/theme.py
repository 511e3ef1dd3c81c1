"""The theme: briefs, the motifs of a brief, and notes on anything."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

from pydantic import Field

from brief.instrument.own_outline import check_outline, with_outline
from brief.instrument.shape import shaped
from brief.instrument.sizes import without_shape
from brief.services.fields import (
    Day,
    Draft,
    Id,
    Line,
    SomeText,
    Text,
    Title,
    View,
    in_field,
)
from brief.services.known_kinds import base_of, kind_of, preset_named, stations_of
from brief.services.noun import Noun, view_fields
from brief.services.pointers import (
    AboutKind,
    brief_id_of,
    check_pointers,
    existing,
    label_of,
    shortened,
)
from brief.services.typed import SentNumber, text_kept
from brief.store.desk import Desk
from brief.store.records import Brief, Motif, Note, Part

Station = tuple[float, float]


class BriefDraft(Draft):
    title: Title = Field(examples=["Saltmarsh, first light"])
    theme: Text = Field("", description="A text, a memory, a place")
    instrument: Line = Field("", examples=["Parlour guitar, 12 frets to the body"])
    kind: Line = Field(
        "parlour-steel-string",
        description="Which parts and proportions: a kind known here, or the id of one of your own",
    )
    show: Line = Field("", description="Where it will be shown")
    wanted_by: Day | None = Field(None, description="The day it must be ready to ship")
    numbers: dict[str, SentNumber] = Field(
        {}, description="Numbers that differ from those of its kind", examples=[{"scale_mm": 640}]
    )
    outline: list[tuple[SentNumber, SentNumber]] | None = Field(
        None,
        max_length=200,
        description="Distances from the neck joint and half the width there, in millimetres or "
        "with their units, in place of the outline of its kind; null takes that again",
    )


class BriefView(View):
    title: str
    theme: str
    instrument: str
    kind: str
    show: str
    wanted_by: date | None
    numbers: dict[str, float]
    outline: list[Station] | None


class Briefs(Noun[Brief, BriefView]):
    one, many = "brief", "briefs"
    record, draft, view = Brief, BriefDraft, BriefView
    filters = ()
    hangs_by: ClassVar = {}
    uses = ("kind",)

    def settle(self, desk: Desk, fields: dict[str, Any], record: Brief | None) -> dict[str, Any]:
        if record is None or fields.get("kind", record.kind) != record.kind:
            known = preset_named(desk, fields["kind"])
            if record is None and not fields["instrument"]:
                fields["instrument"] = known.name
            if record is not None:  # those of another kind mean nothing to this one
                fields.setdefault("numbers", {})
                fields.setdefault("outline", None)
        elif "outline" in fields:
            known = kind_of(record)
        else:
            known = base_of(record)
        if fields.get("outline") is not None:
            outline = stations_of(fields["outline"])
            fields["outline"] = [list(station) for station in outline]
            with in_field("outline"):
                check_outline(known, outline)
            known = with_outline(known, outline)
        if "outline" in fields and "numbers" not in fields and record is not None:
            fields["numbers"] = without_shape(known, record.numbers)
            with in_field("outline"):
                shaped(known, fields["numbers"])
        elif "numbers" in fields:
            with in_field("numbers"):
                shaped(known, fields["numbers"])
        if "numbers" in fields and "as_typed" not in fields:
            typed = {name: text_kept(value) for name, value in fields["numbers"].items()}
            before = record.as_typed if record else {}
            fields["as_typed"] = before | {name: text for name, text in typed.items() if text}
            fields["numbers"] = {name: float(value) for name, value in fields["numbers"].items()}
        return fields

    def add(self, desk: Desk, draft: Draft) -> Brief:
        """A new brief comes with the parts of its kind of instrument, all still open."""
        brief = super().add(desk, draft)
        for part in _parts_of(brief):
            desk.session.add(Part(brief_id=brief.id, finish="", **part))
            desk.session.flush()
        return brief

    def follow(self, desk: Desk, record: Brief) -> None:
        desk.session.expire(record, ["own_kind"])

    def show(self, desk: Desk, record: Brief) -> BriefView:
        return BriefView(
            **view_fields(
                record,
                "title",
                "theme",
                "instrument",
                "kind",
                "show",
                "wanted_by",
                "numbers",
                "outline",
            )
        )

    def label(self, record: Brief) -> str:
        return record.title

    def vet(self, desk: Desk, record: Brief) -> None:
        with in_field("kind"):
            kind = kind_of(record)
        if record.outline is not None:
            with in_field("outline"):
                check_outline(kind, stations_of(record.outline))
        with in_field("numbers"):
            shaped(base_of(record), record.numbers)
        super().vet(desk, record)


def _parts_of(brief: Brief) -> list[dict[str, str]]:
    if brief.own_kind is not None:
        return list(brief.own_kind.parts)
    return [{"role": one.role, "name": one.name, "sizes": ""} for one in base_of(brief).parts]


class MotifDraft(Draft):
    brief_id: Id
    name: Title = Field(examples=["slack water"])
    says: Text = Field("", description="What it stands for")


class MotifView(View):
    brief_id: Id
    name: str
    says: str


class Motifs(Noun[Motif, MotifView]):
    one, many = "motif", "motifs"
    record, draft, view = Motif, MotifDraft, MotifView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: dict[str, Any], record: Motif | None) -> dict[str, Any]:
        check_pointers(desk, fields, record, brief_id="brief")
        return fields

    def show(self, desk: Desk, record: Motif) -> MotifView:
        return MotifView(**view_fields(record, "brief_id", "name", "says"))

    def label(self, record: Motif) -> str:
        return record.name


class NoteDraft(Draft):
    about_kind: AboutKind
    about_id: Id
    text: SomeText
    private: bool = Field(True, description="Kept from whoever the brief is shared with")


class NoteView(View):
    brief_id: Id | None = Field(description="None for a note on a material of the rack")
    about_kind: AboutKind
    about_id: Id
    about_label: str
    text: str
    private: bool


class Notes(Noun[Note, NoteView]):
    one, many = "note", "notes"
    record, draft, view = Note, NoteDraft, NoteView
    settled = frozenset({"about_kind", "about_id"})
    filters = ("brief_id", "about_id")
    hangs_by: ClassVar = {"brief_id": "brief", "about_id": None}

    def settle(self, desk: Desk, fields: dict[str, Any], record: Note | None) -> dict[str, Any]:
        if record is None:
            about = existing(desk, "about_id", fields["about_kind"], fields["about_id"])
            fields["brief_id"] = brief_id_of(about)
        return fields

    def show(self, desk: Desk, record: Note) -> NoteView:
        return NoteView(
            **view_fields(record, "brief_id", "about_kind", "about_id", "text", "private"),
            about_label=label_of(desk, record.about_kind, record.about_id),
        )

    def label(self, record: Note) -> str:
        return shortened(record.text)
