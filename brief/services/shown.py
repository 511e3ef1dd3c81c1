"""Numbers and lists as pages show them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import Any

from brief.colour.words import figure, percent, plus_minus
from brief.photo import Region


def words(items: Sequence[str]) -> str:
    """("a", "b", "c") → "a, b and c"."""
    return " and ".join([", ".join(items[:-1]), items[-1]]) if len(items) > 1 else "".join(items)


def day(value: date | datetime) -> str:
    """A day as people write it, free of month-and-day order: 14 May 2027."""
    return f"{value.day} {value:%B %Y}"


def size(material: Any) -> str:
    """Length, width and thickness in millimetres, as far as they are known."""
    sizes = (material.length_mm, material.width_mm, material.thickness_mm)
    known = [f"{value:g}" for value in sizes if value is not None]
    return " × ".join(known) + " mm" if known else ""


def choices(views: Sequence[Any]) -> list[tuple[str, str]]:
    """Id and name of each, for a field to choose from."""
    return [(view.id, view.label if hasattr(view, "label") else view.name) for view in views]


def shots(photographs: Sequence[Any]) -> list[tuple[str, str]]:
    """Photographs of one piece, told apart by what they show and when they were added."""
    return [
        (one.id, f"{one.finish or one.state}, {one.created_utc:%d.%m. %H:%M}")
        for one in photographs
    ]


def ends(line: str) -> list[list[float]]:
    """ "10,20 80,20" as the ends of a line."""
    return [[float(part) for part in point.split(",")] for point in line.split()]


def shift_words(shift: Any) -> str:
    """What a finish does, by its three parts, each named once it is worth naming."""
    lightness, a, b = shift.d_lab
    parts = (
        (lightness, "lighter", "darker"),
        (a, "redder", "greener"),
        (b, "yellower", "bluer"),
    )
    known = [more if value > 0 else less for value, more, less in parts if abs(value) >= 1]
    return words(known) or "hardly any way"


def plain(value: float) -> str:
    """A length as a maker writes it: hundredths at most, no zeros after it."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


FILTERS: dict[str, Callable[..., Any]] = {
    "percent": percent,
    "number": figure,
    "plain": plain,
    "plus_minus": plus_minus,
    "words": words,
    "day": day,
    "size": size,
    "choices": choices,
    "shots": shots,
    "ends": ends,
    "shift_words": shift_words,
    "box": Region.parse,
}
