"""How a field was, or is, in words and colours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel, Field

from brief.services.common.colour_view import colour_view
from brief.services.common.formatting import plain
from brief.services.common.typed_numbers import as_said, other_unit, unit_in


class Side(BaseModel):
    """How something was, or is."""

    text: str = ""
    colours: list[str] = Field([], description="sRGB", examples=[["#2f6f62"]])
    picture: str | None = Field(None, description="Where a small rendition is")


def side_of(column: str, value: Any, text: str | None = None) -> Side:
    """A value of a column as a maker reads it. text : as it was typed, where that still holds."""
    match value:
        case None | "" | [] | {}:
            return Side()
        case bool():
            return Side(text="yes" if value else "no")
        case float() | int() if other_unit(text, unit_in(column)):
            return Side(text=as_said(text, plain(float(value)), unit_in(column)))
        case float() | int():
            return Side(text=plain(float(value)))
        case str() if column == "image_sha256":
            return Side(text="a picture", picture=f"/images/{value}/thumb")
        case str() if column == "path":
            return Side(text="as it was drawn")
        case str():
            return Side(text=value)
        case [{"lab": _}, *_]:
            return Side(
                text=f"{len(value)} colours", colours=[hexes(one["lab"])[0] for one in value]
            )
        case [str() | int() | float(), *_] if column != "selections":
            told = (plain(one) if isinstance(one, float) else str(one) for one in value)
            return Side(text=", ".join(told))
        case _:
            return Side(text="as it was drawn")


def hexes(lab: Sequence[float] | None) -> list[str]:
    """A colour as sRGB; empty without one."""
    return [colour_view(lab, 0.0).hex] if lab else []


def lab_text(lab: Sequence[float] | None) -> str:
    """A colour in words."""
    return colour_view(lab, 0.0).words if lab else ""
