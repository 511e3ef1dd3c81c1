"""The kinds of field that what is sent in is made of, and how a change is told from a draft."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, create_model

from brief.errors import FieldFault, InputError

# Of themselves these leave no mark: control and format characters, spaces, what only combines
# with a character before it; and letters and signs without any ink.
UNSEEN = {"Cc", "Cf", "Me", "Mn", "Zl", "Zp", "Zs"}
INKLESS = "\u115f\u1160\u2800\u3164\uffa0"
# They turn the direction of reading; left open, that of what follows on the page as well (Unicode
# Standard Annex #9, 2.1 to 2.5).
TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")


def clean_text(text: str) -> str:
    """`text` without control characters; empty if nothing in it can be seen."""
    kept = "".join(c for c in text if c in "\n\t" or unicodedata.category(c) != "Cc")
    seen = any(c not in INKLESS and unicodedata.category(c) not in UNSEEN for c in kept)
    return kept if seen else ""


def clean_line(text: str) -> str:
    """The same, for what stands in a line with other words: it cannot turn their direction."""
    return clean_text(TURNING.sub("", text))


def _cleaned(by: Callable[[str], str]) -> BeforeValidator:
    """Before the limits are checked, so that a title of nothing but a NUL counts as empty."""
    return BeforeValidator(lambda given: by(given) if isinstance(given, str) else given)


_clean = _cleaned(clean_text)
_clean_line = _cleaned(clean_line)

Fields = Mapping[str, Any]  # of a draft, a change or a view, by name
Columns = dict[str, Any]  # of a record, by name
Json = dict[str, Any]  # a JSON object of a form that is not ours, or that a column is kept in

Line = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200), _clean_line]
Title = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=200), _clean_line
]
LongLine = Annotated[str, StringConstraints(strip_whitespace=True, max_length=500), _clean_line]
Text = Annotated[str, StringConstraints(strip_whitespace=True, max_length=20_000), _clean]
SomeText = Annotated[
    str, StringConstraints(strip_whitespace=True, min_length=1, max_length=20_000), _clean
]
# As it stands where it is quoted from, with the blanks at its ends.
Quoted = Annotated[str, StringConstraints(max_length=2_000), _clean]
Id = Annotated[
    str,
    StringConstraints(min_length=1, max_length=26),
    Field(examples=["01JD8Q5Z7M3K2V9X4T6R8W0Y1A"]),
]
Lab = Annotated[
    tuple[float, float, float],
    Field(description="CIELAB, D65, 2° observer", examples=[[56.11, 17.26, 33.92]]),
]
RegionText = Annotated[
    str,
    Field(
        max_length=80,
        description="A part of the picture in percent, as a Media Fragment",
        examples=["xywh=percent:10,20,50,40"],
    ),
]


def _refuse_booleans(given: object) -> object:
    """True would pass for 1, False for 0."""
    if isinstance(given, bool):
        raise InputError("This must be a number")
    return given


def _written_out(given: object) -> object:
    """A number would pass for the seconds since 1970."""
    if not isinstance(given, str | date):
        raise InputError("This must be a day such as 2027-05-14")
    return given


not_boolean = BeforeValidator(_refuse_booleans)
Day = Annotated[date, BeforeValidator(_written_out)]


class Draft(BaseModel):
    """What is sent in. Unknown fields are refused, so that a slip of the pen is noticed."""

    model_config = ConfigDict(extra="forbid")


@contextmanager
def in_field(field: str) -> Iterator[None]:
    """Say of any InputError raised inside that it lies in `field`."""
    try:
        yield
    except InputError as exc:
        exc.faults = (FieldFault(f"/{field}", str(exc)),)
        raise


class View(BaseModel):
    """What is shown of a record."""

    id: Id
    etag: str = Field(description="Send it back as If-Match with a change", examples=['"3"'])
    created_utc: datetime
    changed_utc: datetime


def change_of(draft: type[Draft], *, without: frozenset[str] = frozenset()) -> type[Draft]:
    """The model of a change to what `draft` made: the same fields, each of which may be left out.

    `without` names the fields that are settled once a record is made.
    """
    fields: dict[str, Any] = {}
    for name, field in draft.model_fields.items():
        if name not in without:
            kind = (
                Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
            )
            left_out = Field(default=None, description=field.description, examples=field.examples)
            fields[name] = (kind, left_out)
    return create_model(f"{draft.__name__.removesuffix('Draft')}Change", __base__=Draft, **fields)
