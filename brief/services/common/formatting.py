"""Numbers and lists as pages show them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from brief.colour.notation.wording import figure, percent, plus_minus
from brief.english import words
from brief.errors import InputError
from brief.instrument.model.sizes import HINTS, PART_TITLES
from brief.lengths import write_length
from brief.money.amounts import figures, money
from brief.photo import Region, Selection
from brief.services.common.typed_numbers import as_said, other_unit, unit_in

FIELD_PLACES = 4  # of a number in a field, which may have been worked out


def day(value: date | datetime) -> str:
    """A day as people write it, free of month-and-day order: 14 May 2027."""
    return f"{value.day} {value:%B %Y}"


def size(material: Any) -> str:
    """Length, width and thickness in millimetres, as far as they are known; and as they were
    typed, if that was in another unit.
    """
    names = ("length_mm", "width_mm", "thickness_mm")
    known = {name: value for name in names if (value := getattr(material, name)) is not None}
    if not known:
        return ""
    in_mm = " × ".join(f"{value:.6g}" for value in known.values()) + " mm"
    typed = {name: text for name in known if (text := other_unit(material.as_typed.get(name)))}
    if not typed:
        return in_mm
    told = " × ".join(typed.get(name) or f"{value:.6g} mm" for name, value in known.items())
    return f"{told} ({in_mm})"


def typed(view: Any, name: str) -> str:
    """What a field shows of a number: as it was typed, or as it is read again."""
    value = getattr(view, name, None)
    if value is None:
        return ""
    return view.as_typed.get(name) or write_length(round(value, FIELD_PLACES))


def length_text(view: Any, name: str, value: float | None = None) -> str:
    """A length of a view in a sentence, "1/32 in (0.79 mm)"; `value` where it is no field of it."""
    number = getattr(view, name) if value is None else value
    return as_said(view.as_typed.get(name), plain(number), unit_in(name))


def number_hint(number: Any) -> str:
    """Below a number of an instrument: how it is measured, what it is in mm and usually."""
    said = [HINTS[number.name]] if number.name in HINTS else []
    said += [f"{plain(number.value)}\u00a0mm"] if other_unit(number.typed) else []
    if number.changed:
        said.append(f"Usual: {number.usual_typed or plain(number.usual)}")
    return ". ".join(said)


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


def veil(where: Any) -> str:
    """All of a picture but what was measured of it, as an SVG path by the even-odd rule."""
    rings: list[Sequence[tuple[float, float]]] = [((0, 0), (100, 0), (100, 100), (0, 100))]
    for text in where.selections:
        selection = Selection.parse(text)
        box = selection.bounds
        rings += selection.holes
        rings.append(
            ((box.x, box.y), (box.x + box.w, box.y), (box.x + box.w, box.y + box.h),
             (box.x, box.y + box.h))
            if isinstance(selection.outline, Region)
            else selection.outline
        )  # fmt: skip
    drawn = rings if len(rings) > 1 else []
    return " ".join("M" + " L".join(f"{x:g} {y:g}" for x, y in ring) + "Z" for ring in drawn)


RATIO_STEP = 0.05
LEAST_RATIO, MOST_RATIO = 0.4, 3.5


def ratio(width_px: int, height_px: int) -> int:
    """How wide for its height a picture is on a contact sheet, in steps of 0.05: by the class that
    `ratios.css` has for it, since pages have no styles of their own.

    >>> ratio(1500, 1000), ratio(9000, 90)
    (30, 70)
    """
    return round(min(max(width_px / height_px, LEAST_RATIO), MOST_RATIO) / RATIO_STEP)


def price(amount: Decimal, currency: str) -> str:
    """An amount in a sentence, also in what was kept as a currency and is none."""
    try:
        return money(amount, currency)
    except InputError:
        return f"{amount} {currency}"


def price_typed(amount: Decimal | None, currency: str) -> str:
    """What a field shows of an amount."""
    try:
        return "" if amount is None else figures(amount, currency)
    except InputError:
        return str(amount)


FILTERS: dict[str, Callable[..., Any]] = {
    "percent": percent,
    "number": figure,
    "plain": plain,
    "plus_minus": plus_minus,
    "words": words,
    "day": day,
    "size": size,
    "typed": typed,
    "length_text": length_text,
    "price": price,
    "price_typed": price_typed,
    "number_hint": number_hint,
    "part_title": PART_TITLES.__getitem__,
    "other_unit": other_unit,
    "choices": choices,
    "shots": shots,
    "ends": ends,
    "shift_words": shift_words,
    "box": Region.parse,
    "veil": veil,
    "ratio": ratio,
}
