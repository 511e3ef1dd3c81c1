"""What columns hold that a table says too little of: JSON, figures with limits, texts with a form.

By table and column: "palettes.colours". Rows that come from elsewhere are held to it (`row_codec`),
those within a revision like all others. A column of JSON without its shape is an error.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    Field,
    JsonValue,
    PlainSerializer,
    Strict,
    ValidatorFunctionWrapHandler,
    WrapValidator,
)

from brief.instrument.inlay.measures import Measured
from brief.instrument.presets import Preset
from brief.instrument.rendering.placement import Laying
from brief.money.costing import Overhead
from brief.numerals import LONGEST
from brief.photo import Correction, Region, Selection
from brief.plan.week import check_week
from brief.services.common.amounts import MOST_BOUGHT
from brief.services.common.typed_numbers import MOST_DAYS
from brief.services.feedback.questions import FEWEST, MOST
from brief.services.history.column_values import (
    HOURS,
    ULID,
    Coordinate,
    Count,
    Days,
    Doubt,
    FiniteNumber,
    Lab,
    Line,
    Pair,
    Stations,
)
from brief.services.history.json_forms import (
    MOST_ITEMS,
    ChoiceForm,
    Findings,
    Fitted,
    KindPartForm,
    Outlined,
    PaletteColourForm,
    ShiftForm,
    form_of,
)
from brief.services.photos.shot_correction import points
from brief.store.records import LengthsAsTyped, Record

MOST_COLOURS = 12
MOST_ACCENTS = 3


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
