"""What the JSON in a column looks like: one form for each kind of thing kept in one."""

from __future__ import annotations

from dataclasses import MISSING, fields, is_dataclass
from functools import reduce
from operator import or_
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, Strict, create_model

from brief.services.feedback.questions import ChoiceKind
from brief.services.history.column_values import (
    ULID,
    Count,
    Doubt,
    FiniteNumber,
    Flag,
    Lab,
    Line,
    Pair,
    Percent,
    Sentence,
    Share,
    Stations,
    Title,
)

MOST_ITEMS = 500


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
