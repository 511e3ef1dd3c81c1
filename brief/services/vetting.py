"""Records that came whole from elsewhere: whether each could have been made here.

They are checked against what their noun takes as a draft, against the shapes that colours, cells
and regions are stored in, and by showing them once.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, Field, FiniteFloat, TypeAdapter, ValidationError
from sqlalchemy import JSON
from sqlalchemy.exc import NoResultFound

from brief.errors import BriefError, InputError
from brief.numerals import LONGEST
from brief.photo import Region, Selection
from brief.services.fields import change_of
from brief.services.measuring import points
from brief.services.noun import Noun
from brief.store.desk import Desk
from brief.store.records import Record

# What a record with a hole or a wrong kind of value in it makes of the code that shows it.
UNSHOWABLE = (
    BriefError,
    ArithmeticError,
    AttributeError,
    LookupError,
    TypeError,
    ValueError,
    NoResultFound,
)

Lab = tuple[FiniteFloat, FiniteFloat, FiniteFloat]
Cell = tuple[FiniteFloat, FiniteFloat, FiniteFloat, Annotated[FiniteFloat, Field(ge=0)]]


def _that_weigh(cells: list[Cell]) -> list[Cell]:
    if not sum(cell[3] for cell in cells) > 0:
        raise ValueError("they weigh nothing")
    return cells


# By a column's name, or by how it ends: "chosen_swatch_lab".
SHAPES: dict[str, TypeAdapter[Any]] = {
    "lab": TypeAdapter(Lab),
    "cells": TypeAdapter(Annotated[list[Cell], AfterValidator(_that_weigh)]),
    "region": TypeAdapter(Annotated[str, AfterValidator(Region.parse)]),
    "selections": TypeAdapter(list[Annotated[str, AfterValidator(Selection.parse)]]),
    "scale_points": TypeAdapter(Annotated[str, AfterValidator(lambda text: points(text, 2))]),
    "grain_line": TypeAdapter(Annotated[str, AfterValidator(lambda text: points(text, 2))]),
    "as_typed": TypeAdapter(dict[str, Annotated[str, Field(max_length=LONGEST)]]),
    "chart_corners": TypeAdapter(Annotated[str, AfterValidator(lambda text: points(text, 4))]),
}


def vet(desk: Desk, noun: Noun[Any, Any], record: Record) -> None:
    """Raise InputError, at the field if it is known, unless `record` could have been made here."""
    try:
        _as_drafted(noun, record)
        _in_shape(record)
        if not noun.label(record):
            raise InputError("it has no name")
        noun.vet(desk, record)
    except InputError:
        raise
    except ValidationError as exc:
        field = "/".join(map(str, exc.errors()[0]["loc"]))
        raise InputError.at(field, "this is not as it can be kept here") from exc
    except UNSHOWABLE as exc:
        raise InputError("something in it is missing or of another kind") from exc


@lru_cache
def _drafted(noun: Noun[Any, Any]) -> type[BaseModel]:
    return change_of(noun.changeable or noun.draft)


def _as_drafted(noun: Noun[Any, Any], record: Record) -> None:
    """Its own fields, as far as they can be sent in one by one, are such as are kept."""
    model = _drafted(noun)
    columns = type(record).__table__.columns
    sent = {
        name: getattr(record, name)
        for name in model.model_fields
        if name in columns and not isinstance(columns[name].type, JSON)
    }
    given = {name: value for name, value in sent.items() if value not in (None, "")}
    kept = model.model_validate(given)
    for name, value in given.items():
        if getattr(kept, name) != value:
            raise InputError.at(name, "this holds signs that no text here can have")


def _in_shape(record: Record) -> None:
    for column in type(record).__table__.columns:
        value = getattr(record, column.name)
        shape = SHAPES.get(column.name) or SHAPES.get(column.name.rpartition("_")[2])
        if value is not None and shape is not None and value != []:
            try:
                shape.validate_python(value)
            except (InputError, ValidationError) as exc:
                raise InputError.at(column.name, "this is not in the form it is kept in") from exc
