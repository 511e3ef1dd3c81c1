"""Where a pair is to be seen, and its line, as they are typed in a terminal."""

from __future__ import annotations

import re
from dataclasses import replace

from brief.colour.viewing.colour_vision import NORMAL, eyes
from brief.colour.viewing.conditions import BENCH, Condition
from brief.colour.viewing.distance import DISTANCES_M
from brief.colour.viewing.light import Light, lamp, light, lights
from brief.errors import InputError, quoted
from brief.instrument.drawing.pair_sample import SAMPLE_LINE_LIMITS
from brief.lengths import Unit, read_length, unit_of
from brief.numerals import AMOUNT, plain, read_number

LAMP = re.compile(rf"({AMOUNT}) ?k ?/ ?(?:ra|cri)? ?[>≥]? ?({AMOUNT})")


def line_width(text: str | None) -> float | None:
    """Millimetres; None where nothing was typed. Raises InputError for what is no such width."""
    return None if text is None else _length(text, "--line", SAMPLE_LINE_LIMITS, "mm")


def conditions(
    from_m: str | None, lit_by: str | None, seen_by: str | None
) -> tuple[Condition, ...]:
    """The bench; that place, if one is named; and the last of them to other eyes, if any are.

    from_m : metres, or with its unit. lit_by : a CIE name, or kelvin and Ra as in "2900K/83".
    seen_by : a kind of eyes. Raises InputError for a text that is none of that.
    """
    words, place = [], BENCH
    if lit_by is not None:
        lit, called = _light(lit_by)
        place = replace(place, light=lit)
        words.append(f"under {called}")
    if from_m is not None:
        place = replace(place, distance_m=_length(from_m, "--from", DISTANCES_M, "m"))
        words.append(f"from {from_m if unit_of(from_m) else f'{place.distance_m:g} m'}")
    asked = [BENCH]
    if words:
        asked.append(replace(place, key="place", words=", ".join(words)))
    found = NORMAL if seen_by is None else eyes(seen_by)
    if found != NORMAL:
        asked.append(asked[-1].to(found))
    return tuple(asked)


def _light(text: str) -> tuple[Light, str]:
    """A light, and what it is called in a sentence."""
    told = LAMP.fullmatch(plain(text))
    if told:
        found = lamp(*(float(read_number(number)) for number in told.groups()))
        return found, found.words
    known = {one.key.casefold(): one.key for one in lights()}
    try:
        found = light(known.get(text.strip().casefold(), text))
    except InputError as exc:
        raise InputError(f"{exc}; or write a lamp's kelvin and Ra, as in 2900K/83") from exc
    return found, f"CIE {found.key}"


def _length(text: str, option: str, limits: tuple[float, float], unit: Unit) -> float:
    least, most = limits
    try:
        length = float(read_length(text, unit))
    except InputError as exc:
        raise InputError(f"{option}: {exc}") from exc
    if not least <= length <= most:
        raise InputError(f"{option} must be {least:g} to {most:g} {unit}; got {quoted(text)}")
    return length
