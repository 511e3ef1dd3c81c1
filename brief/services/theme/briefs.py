"""Briefs: what a piece is to be, and which instrument."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from brief.errors import InputError
from brief.instrument.model.own_outline import check_outline, with_outline
from brief.instrument.model.shape import shaped
from brief.instrument.model.sizes import without_shape
from brief.plan.week import check_week
from brief.services.common.field_types import (
    Columns,
    Day,
    Draft,
    Fields,
    Line,
    Text,
    Title,
    View,
    in_field,
    not_boolean,
)
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ALength, Hours, SentNumber, text_kept
from brief.services.instrument.known_kinds import base_of, kind_of, preset_named, stations_of
from brief.services.theme.cost_terms import (
    TERMS,
    CostTerms,
    CostTermsView,
    settled_terms,
    terms_of,
)
from brief.store.desk import Desk
from brief.store.records import Brief, Part

Station = tuple[float, float]
WholeDays = Annotated[int, Field(ge=0, le=365), not_boolean]


class BriefDraft(CostTerms):
    """A brief as it is sent."""

    title: Title = Field(examples=["Saltmarsh, first light"])
    theme: Text = Field("", description="A text, a memory, a place")
    instrument: Line = Field("", examples=["Parlour guitar, 12 frets to the body"])
    kind: Line = Field(
        "parlour-steel-string",
        description="Which parts and proportions: a kind known here, or the id of one of your own",
    )
    show: Line = Field("", description="Where it will be shown")
    wanted_by: Day | None = Field(None, description="The day it must be ready to ship")
    opens_on: Day | None = Field(
        None, description="The day of the opening; the day to be ready follows from it"
    )
    travel_days: WholeDays = Field(0, description="From the bench to the show")
    papers_days: WholeDays = Field(0, description="For permits and customs")
    week_h: list[Hours] | None = Field(
        None,
        min_length=7,
        max_length=7,
        description="Hours at the bench from Monday to Sunday; null leaves it to common practice",
        examples=[[6, 6, 6, 6, 6, 0, 0]],
    )
    caption: Text = Field("", description="The maker’s words on the caption at the stand")
    stand_price: Line = Field(
        "", description="The price on the stand, printed as typed; empty: none is shown"
    )
    stand_list: Text = Field("", description="What else is on the price list, one a line")
    numbers: dict[str, SentNumber] = Field(
        {}, description="Numbers that differ from those of its kind", examples=[{"scale_mm": 640}]
    )
    outline: list[tuple[SentNumber, SentNumber]] | None = Field(
        None,
        max_length=200,
        description="Distances from the neck joint and half the width there, in millimetres or "
        "with their units, in place of the outline of its kind; null takes that again",
    )
    outline_doubt_mm: Annotated[float, ALength(0, 1000, "0.8 mm")] | None = Field(
        None,
        description="What a width of that outline may be off by; from its tracing. Null: not known",
    )
    outline_edition: Literal[1, 2] = Field(
        2,  # the latest, as `OUTLINE_EDITION`
        description="Which edition of its kind’s outline you have read of: of one before the "
        "latest the Drawing sheet says what has changed",
    )


class BriefView(CostTermsView, View):
    """A brief as it is shown."""

    title: str
    theme: str
    instrument: str
    kind: str
    show: str
    wanted_by: date | None
    opens_on: date | None
    travel_days: int
    papers_days: int
    week_h: list[float] | None
    caption: str
    stand_price: str
    stand_list: str
    numbers: dict[str, float]
    outline: list[Station] | None
    outline_doubt_mm: float | None
    outline_edition: int


class Briefs(Noun[Brief, BriefView]):
    """Briefs."""

    record, draft, view = Brief, BriefDraft, BriefView
    filters = ()
    hangs_by: ClassVar = {}
    uses = ("kind",)

    def settle(self, desk: Desk, fields: Fields, record: Brief | None) -> Columns:
        """Find the kind of instrument; numbers of the kind before are dropped with it."""
        kept = dict(fields) | _day_to_be_ready(fields, record) | settled_terms(desk, fields, record)
        if kept.get("week_h") is not None:
            kept["week_h"] = [float(hours) for hours in kept["week_h"]]
            with in_field("week_h"):
                check_week(kept["week_h"])
        if record is None or kept.get("kind", record.kind) != record.kind:
            known = preset_named(desk, kept["kind"])
            if record is None and not kept["instrument"]:
                kept["instrument"] = known.name
            if record is not None:  # those of another kind mean nothing to this one
                kept.setdefault("numbers", {})
                kept.setdefault("outline", None)
                kept.setdefault("outline_doubt_mm", None)
        elif "outline" in kept:
            known = kind_of(record)
        else:
            known = base_of(record)
        if "outline" in kept:  # another one's doubt is not its own
            kept.setdefault("outline_doubt_mm", None)
        if kept.get("outline") is not None:
            outline = stations_of(kept["outline"])
            kept["outline"] = [list(station) for station in outline]
            with in_field("outline"):
                check_outline(known, outline)
            known = with_outline(known, outline)
        if "outline" in kept and "numbers" not in kept and record is not None:
            kept["numbers"] = without_shape(known, record.numbers)
            with in_field("outline"):
                shaped(known, kept["numbers"])
        elif "numbers" in kept:
            with in_field("numbers"):
                shaped(known, kept["numbers"])
        if "numbers" in kept and "as_typed" not in kept:
            typed = {name: text_kept(value) for name, value in kept["numbers"].items()}
            before = record.as_typed if record else {}
            kept["as_typed"] = before | {name: text for name, text in typed.items() if text}
            kept["numbers"] = {name: float(value) for name, value in kept["numbers"].items()}
        return kept

    def add(self, desk: Desk, draft: Draft) -> Brief:
        """A new brief comes with the parts of its kind of instrument, all still open."""
        brief = super().add(desk, draft)
        for part in _parts_of(brief):
            desk.session.add(Part(brief_id=brief.id, finish="", **part))
            desk.session.flush()
        return brief

    def follow(self, desk: Desk, record: Brief) -> None:
        """Look up the maker's own kind again, which may be another one now."""
        desk.session.expire(record, ["own_kind"])

    def show(self, desk: Desk, record: Brief) -> BriefView:
        """The brief, with the numbers of its instrument."""
        return BriefView(
            **view_fields(
                record,
                "title",
                "theme",
                "instrument",
                "kind",
                "show",
                "wanted_by",
                "opens_on",
                "travel_days",
                "papers_days",
                "week_h",
                "caption",
                "stand_price",
                "stand_list",
                "numbers",
                "outline",
                "outline_doubt_mm",
                "outline_edition",
                *TERMS,
            )
        )

    def vet(self, desk: Desk, record: Brief) -> None:
        """Refuse an outline or numbers that its kind of instrument cannot have."""
        with in_field("kind"):
            kind = kind_of(record)
        if record.outline is not None:
            with in_field("outline"):
                check_outline(kind, stations_of(record.outline))
        with in_field("numbers"):
            shaped(base_of(record), record.numbers)
        terms_of(record, "EUR")
        super().vet(desk, record)


def _day_to_be_ready(fields: Fields, record: Brief | None) -> Columns:
    """It follows from the opening, if that is known: less the days of travel and papers."""
    told = ("opens_on", "travel_days", "papers_days")
    opens_on, *days = (fields[name] if name in fields else getattr(record, name) for name in told)
    if opens_on is None:
        return {}
    try:
        ready = opens_on - timedelta(days=sum(days))
    except OverflowError as exc:  # there is no day before 1 January of the year 1
        raise InputError.at("opens_on", "Choose a later opening, e.g. 2027-05-29.") from exc
    sent = fields.get("wanted_by")
    if sent == ready:
        return {}
    if "wanted_by" in fields and (sent or record is not None):
        raise InputError.at(
            "wanted_by",
            f"The opening, {opens_on}, less travel and papers makes it {ready}. "
            "Change those on Run-up.",
        )
    if any(name in fields for name in told) and ready < date.today():
        raise InputError.at(
            "opens_on", f"It would have had to be ready by {ready}. Choose a later opening."
        )
    return {"wanted_by": ready}


def _parts_of(brief: Brief) -> list[dict[str, str]]:
    if brief.own_kind is not None:
        return list(brief.own_kind.parts)
    return [{"role": one.role, "name": one.name, "sizes": ""} for one in base_of(brief).parts]


briefs = Briefs()
