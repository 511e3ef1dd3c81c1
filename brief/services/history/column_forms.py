"""What columns hold that a table says too little of: JSON, figures with limits, texts with a form.

By table and column: "palettes.colours". Rows that come from elsewhere are held to it (`row_codec`),
those within a revision like all others. A column of JSON without its shape is an error.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass
from decimal import Decimal
from functools import lru_cache, reduce
from operator import or_
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    JsonValue,
    PlainSerializer,
    PlainValidator,
    Strict,
    ValidatorFunctionWrapHandler,
    WrapValidator,
    create_model,
)

from brief.instrument.inlay.measures import Measured
from brief.instrument.model.own_outline import MOST as MOST_STATIONS
from brief.instrument.presets import Preset
from brief.instrument.rendering.placement import Laying
from brief.money.costing import Overhead
from brief.numerals import LONGEST
from brief.photo import Correction, Region, Selection
from brief.plan.week import check_week
from brief.services.common.amounts import MOST_BOUGHT
from brief.services.common.typed_numbers import MOST_DAYS, MOST_HOURS
from brief.services.feedback.questions import FEWEST, MOST, ChoiceKind
from brief.services.photos.shot_correction import points
from brief.store.records import LengthsAsTyped, Record

ULID = "^[0-7][0-9A-HJKMNP-TV-Z]{25}$"  # Crockford's base 32
# Prices were floats once, and are kept with all figures that these had.
EXACT = re.compile(r"^[0-9]{1,9}(\.[0-9]{1,30})?$")
MOST_MONEY = 10**9
FURTHEST = 1e6  # millimetres and the like; nothing that is made, measured or bought goes beyond
MOST_COLOURS, MOST_ACCENTS, MOST_ITEMS = 12, 3, 500

FiniteNumber = Annotated[float, Strict(), Field(ge=-FURTHEST, le=FURTHEST, allow_inf_nan=False)]
Count = Annotated[int, Strict(), Field(ge=0, le=10_000)]
Days = Annotated[int, Strict(), Field(ge=0, le=MOST_DAYS)]
HOURS = Annotated[float, Strict(), Field(ge=0, le=MOST_HOURS)]
Share = Annotated[float, Strict(), Field(ge=0, le=1)]
Percent = Annotated[float, Strict(), Field(ge=0, le=100)]
# CIEDE2000, or a coordinate of CIELAB, of which no colour has more than some hundreds.
Doubt = Annotated[float, Strict(), Field(ge=0, le=1000)]
Coordinate = Annotated[float, Strict(), Field(ge=-1000, le=1000)]
Flag = Annotated[bool, Strict()]
Title = Annotated[str, Strict(), Field(min_length=1, max_length=200)]
Line = Annotated[str, Strict(), Field(max_length=500)]
Sentence = Annotated[str, Strict(), Field(max_length=2000)]
Lab = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
Pair = Annotated[list[FiniteNumber], Field(min_length=2, max_length=2)]
Stations = Annotated[list[Pair], Field(max_length=MOST_STATIONS)]


def _exactly(value: Any) -> Decimal:
    """Of an earlier version's file it is a number, which counts by its figures."""
    if isinstance(value, str) and EXACT.fullmatch(value):
        made = Decimal(value)
    elif isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        made = Decimal(str(value))
    else:
        raise ValueError("this is no number in figures")
    if not made.is_finite() or not 0 <= made <= MOST_MONEY:
        raise ValueError(f"this must be 0 to {MOST_MONEY}")
    return made


# In a file it is a text, so that no reader makes it inexact.
ExactNumber = Annotated[
    Decimal,
    PlainValidator(
        _exactly,
        json_schema_input_type=Annotated[str, Field(pattern=EXACT.pattern)]
        | Annotated[float, Field(ge=0, le=MOST_MONEY)],
    ),
    PlainSerializer(lambda value: format(value.normalize(), "f"), str, when_used="json"),
]


class Form(BaseModel):
    """The form of JSON in a column; nothing else may be in it."""

    model_config = ConfigDict(extra="forbid")


def form_of(made: type, *, without: frozenset[str] = frozenset()) -> type[Form]:
    """What `asdict` of a dataclass is once it has been through JSON."""
    hints = get_type_hints(made)
    members: dict[str, Any] = {
        one.name: (_as_json(hints[one.name]), ... if one.default is MISSING else one.default)
        for one in fields(made)
        if one.name not in without
    }
    return create_model(made.__name__, __base__=Form, **members)


def _as_json(hint: Any) -> Any:
    plain = {float: FiniteNumber, int: Count, str: Sentence, bool: Flag}.get(hint)
    if plain is not None:
        return plain
    if is_dataclass(hint) and isinstance(hint, type):
        return form_of(hint)
    inner = get_args(hint)
    if get_origin(hint) in (Union, UnionType):
        return reduce(or_, (one if one is NoneType else _as_json(one) for one in inner))
    if get_origin(hint) is tuple:
        several = list.__class_getitem__(_as_json(inner[0]))
        if inner[-1] is Ellipsis:
            return Annotated[several, Field(max_length=MOST_ITEMS)]
        return Annotated[several, Field(min_length=len(inner), max_length=len(inner))]
    return hint  # a Literal


class PaletteColourForm(Form):
    """A colour of a palette, as a column has it."""

    lab: Lab
    share: Share
    spread: Doubt
    spot: Annotated[list[Percent], Field(min_length=2, max_length=2)]


class KindPartForm(Form):
    """A part of a kind of instrument, as a column has it."""

    role: Title
    name: Title
    sizes: Line


class PaperSheetForm(Form):
    """A sheet of paper in a photograph of a mould, as a column has it."""

    corners: Annotated[list[Pair], Field(min_length=4, max_length=4)]
    miss: Percent
    fitted: Flag


class Outlined(Form):
    """Of a tracing whose outline was not found yet, or is of no size."""

    remarks: list[Sentence]
    notes: list[Sentence]
    problem: Annotated[str, Strict(), Field(min_length=1, max_length=2000)]
    sheet: PaperSheetForm | None = None


class Fitted(Form):
    """The outline found in a tracing, as a column has it."""

    remarks: list[Sentence]
    notes: list[Sentence]
    problem: Literal[""]
    stations: Annotated[Stations, Field(min_length=2)]
    off_mm: FiniteNumber
    off_at_mm: FiniteNumber | None = None  # of one traced before that was told
    usually_off_mm: FiniteNumber
    asymmetry_mm: FiniteNumber
    half: Flag
    length_error_mm: FiniteNumber | None
    sheet: PaperSheetForm | None = None
    doubts: Annotated[list[Doubt], Field(max_length=3)] = []
    straightened: Literal["", "sheet", "width"] = ""
    checked: Flag = False
    hairs: Annotated[
        list[Annotated[list[Pair], Field(min_length=2, max_length=2)]], Field(max_length=1000)
    ] = []
    curve: Annotated[list[Pair], Field(min_length=2)]
    axis: Annotated[list[Pair], Field(min_length=2, max_length=2)]


class EvennessForm(Form):
    """How even the light on a photograph is, as a column has it."""

    basis: Literal["white surround", "board", "chart"]
    end_to_end: Doubt
    sentence: Sentence


class FigureForm(Form):
    """The figure of a piece, as a column has it."""

    word: Literal["plain", "straight", "curly", "wild"]
    direction_deg: FiniteNumber | None
    strength: Share
    curl_mm: FiniteNumber | None
    dark: Lab
    light: Lab


class Grain(Form):
    """The growth rings counted on a photograph, as a column has them."""

    count: Count | None
    reason: Sentence | None
    per_cm: FiniteNumber | None
    per_cm_error: FiniteNumber | None
    spacing_mm: FiniteNumber | None
    confidence: Share
    positions: list[Pair]


class WhereForm(Form):
    """Where a photograph is measured, as a column has it."""

    by: Literal["drawn", "proposed", "whole"]
    selections: Annotated[list[Annotated[str, Strict()]], Field(max_length=20)]
    without: list[list[Annotated[list[FiniteNumber], Field(min_length=2, max_length=2)]]]
    shown: Annotated[str, Strict(), Field(max_length=80)] | None


class Findings(Form):
    """What was measured on a photograph, as a column has it."""

    where: WhereForm | None = None  # these two not of what an earlier version measured
    as_shot: Lab | None = None
    left_out: Share
    evenness: EvennessForm | None = None  # not of what an earlier version measured
    figure: FigureForm
    grain: Grain | None
    notes: list[Sentence]


class ShiftForm(Form):
    """What a finish did to a colour, as a column has it."""

    d_lab: Lab
    uncertainty: Doubt
    delta_e: Doubt


class ChoiceForm(Form):
    """One of the things to choose from, as a column has it."""

    kind: ChoiceKind
    id: Annotated[str, Strict(), Field(pattern=ULID)]


def _that_weigh(cells: list[list[float]]) -> list[list[float]]:
    if not sum(cell[3] for cell in cells) > 0 or min(cell[3] for cell in cells) < 0:
        raise ValueError("they weigh nothing")
    return cells


def _as_it_is(value: Any, check: ValidatorFunctionWrapHandler) -> Any:
    """A row keeps what it holds to the last digit: 30 does not become 30.0."""
    check(value)
    return value


def _kept(shape: Any, *checks: Callable[[Any], object]) -> Any:
    """The shape, and what else is asked of a value that has it."""

    def ask(value: Any) -> Any:
        for check in checks:
            check(value)
        return value

    return Annotated[
        shape, WrapValidator(_as_it_is), AfterValidator(ask), PlainSerializer(lambda value: value)
    ]


def _written(parse: Callable[[str], object], most: int) -> Any:
    """A text that something here reads, or none."""
    return _kept(
        Annotated[str, Strict(), Field(max_length=most)], lambda text: text and parse(text)
    )


def _where_is_read(findings: Any) -> None:
    where = findings.get("where") or {}
    for text in where.get("selections", ()):
        Selection.parse(text)
    if where.get("shown"):
        Region.parse(where["shown"])


_LAB = _kept(Lab)
_CELLS = _kept(
    list[Annotated[list[Coordinate], Field(min_length=4, max_length=4)]],
    _that_weigh,
)
_CORRECTION = _kept(form_of(Correction), Correction.from_dict)
_REGION = _written(Region.parse, 80)
_TWO_POINTS = _written(lambda text: points(text, 2), 60)
_CORRECTED = {
    "chart_corners": _written(lambda text: points(text, 4), 120),
    "card_region": _REGION,
    "second_card_region": _REGION,
    "correction": _CORRECTION,
}


_AS_TYPED = _kept(dict[str, Annotated[str, Strict(), Field(max_length=LONGEST)]])


def _typed_tables() -> Iterator[str]:
    """Where lengths are kept as they were typed, too."""
    for mapper in Record.registry.mappers:
        if issubclass(mapper.class_, LengthsAsTyped):
            yield str(mapper.local_table.description)


@lru_cache
def shapes() -> Mapping[str, Any]:
    """By table and column: "palettes.colours"."""
    return {
        "kinds.drawing": _kept(form_of(Preset, without=frozenset({"kind"}))),
        "kinds.parts": _kept(Annotated[list[KindPartForm], Field(max_length=100)]),
        "briefs.numbers": _kept(dict[str, FiniteNumber]),
        "briefs.outline": _kept(Stations),
        "briefs.outline_doubt_mm": Doubt,
        "briefs.travel_days": Days,
        "briefs.papers_days": Days,
        "briefs.week_h": _kept(
            Annotated[list[FiniteNumber], Field(min_length=7, max_length=7)], check_week
        ),
        "tracings.points": _kept(Annotated[list[Pair], Field(min_length=2, max_length=2000)]),
        "tracings.inside": _written(lambda text: points(text, 1), 30),
        "tracings.scale_points": _TWO_POINTS,
        "tracings.sheet_corners": _written(lambda text: points(text, 4), 120),
        "tracings.findings": _kept(Fitted | Outlined),
        **{f"references.{name}": shape for name, shape in _CORRECTED.items()},
        "palettes.region": _REGION,
        "palettes.correction": _CORRECTION,
        "palettes.uncertainty": Doubt,
        "palettes.colours": _kept(
            Annotated[list[PaletteColourForm], Field(min_length=1, max_length=MOST_COLOURS)]
        ),
        "palettes.accents": _kept(
            Annotated[list[PaletteColourForm], Field(max_length=MOST_ACCENTS)]
        ),
        "swatches.lab": _LAB,
        "swatches.uncertainty": Doubt,
        "materials.reading_doubt": Doubt,
        "materials.reading_uncertainty": Doubt,
        "materials.lab": _LAB,
        "materials.shot_lab": _LAB,
        "materials.uncertainty": Doubt,
        "materials.disagreement": Doubt,
        "materials.spread": Doubt,
        "materials.cells": _CELLS,
        "materials.region": _REGION,
        **{f"photographs.{name}": shape for name, shape in _CORRECTED.items()},
        "photographs.selections": _kept(
            Annotated[list[Annotated[str, Strict()]], Field(max_length=20)],
            lambda texts: [Selection.parse(text) for text in texts],
        ),
        "photographs.surround_region": _REGION,
        "photographs.scale_points": _TWO_POINTS,
        "photographs.grain_line": _TWO_POINTS,
        "photographs.lab": _LAB,
        "photographs.uncertainty": Doubt,
        "photographs.spread": Doubt,
        "photographs.cells": _CELLS,
        "photographs.findings": _kept(Findings, _where_is_read),
        "finish_tests.shift": _kept(ShiftForm),
        "pairings.asked_ground_lab": _LAB,
        "pairings.asked_inlay_lab": _LAB,
        "parts.chosen_material_lab": _LAB,
        "parts.chosen_swatch_lab": _LAB,
        "parts.laying": _kept(form_of(Laying), Laying.read),
        "inlays.remarks": _kept(list[Line]),
        "inlays.frets": _kept(Annotated[list[Count], Field(max_length=72)]),
        "inlays.measured": _kept(form_of(Measured)),
        "stages.follows": _kept(
            Annotated[
                list[Annotated[str, Strict(), Field(pattern=ULID)]], Field(max_length=MOST_ITEMS)
            ]
        ),
        **{f"stages.{name}": HOURS for name in ("quick_h", "likely_h", "slow_h", "spent_h")},
        "stages.wait_days": Annotated[float, Strict(), Field(ge=0, le=MOST_DAYS)],
        "briefs.overhead": _written(Overhead.read, 40),
        "bought_parts.number": Annotated[int, Strict(), Field(ge=1, le=MOST_BOUGHT)],
        "studio_pictures.made_of": Annotated[str, Strict(), Field(pattern="^[0-9a-f]{64}$")],
        "studio_pictures.said": _kept(Annotated[list[Line], Field(max_length=20)]),
        "comments.region": _REGION,
        "revisions.document": dict[str, JsonValue],  # a parcel, checked as one
        **{f"{table}.as_typed": _AS_TYPED for table in _typed_tables()},
        "questions.choices": _kept(
            Annotated[list[ChoiceForm], Field(min_length=FEWEST, max_length=MOST)]
        ),
    }
