"""Records that came whole from elsewhere: whether each could have been made here.

Their columns have the shape that they are kept in (`column_forms`). Here they are checked against
what their noun takes as a draft, and by showing them once.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from pydantic import BaseModel, ValidationError
from sqlalchemy import JSON
from sqlalchemy.exc import NoResultFound

from brief.errors import BriefError, InputError
from brief.services.common.field_types import change_of
from brief.services.common.naming import label
from brief.services.common.noun import Noun
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


def vet(desk: Desk, noun: Noun[Any, Any], record: Record) -> None:
    """Raise InputError, at the field if it is known, unless `record` could have been made here."""
    try:
        _as_drafted(noun, record)
        if not label(record):
            raise InputError("it has no name")
        noun.vet(desk, record)
    except InputError:
        raise
    except ValidationError as exc:
        field = "/".join(map(str, exc.errors()[0]["loc"]))
        raise InputError.at(field, "this value is not allowed") from exc
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
            raise InputError.at(name, "this contains control characters")
