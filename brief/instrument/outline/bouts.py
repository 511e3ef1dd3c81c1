"""The bouts of a body, and its outline drawn through new ones.

Where a body is widest or narrowest its outline runs along the instrument. So each stretch
between two such places can be made wider on its own, and still meets the next without a kink.
Along the body all stations move by one smooth curve through the new places.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from brief.errors import InputError
from brief.instrument.curve import Point, monotone_slopes, tightest
from brief.instrument.outline.fair import fair_half
from brief.instrument.presets import Preset, Stations

NAMES = ("upper", "waist", "lower")
SAID = {"upper": "the upper bout", "waist": "the waist", "lower": "the lower bout"}
LEAST_STRETCH, MOST_STRETCH = 0.6, 1.6
"""Beyond these the curves of a stretch grow too tight, or too slack, to bend a side along."""
LEAST_BEND_MM = 12.0
"""The tightest radius that an outline may turn to: a side bent closer breaks, common practice, no
source."""
# Across: how much the waist of a body that has one is narrower; our working figure.
LEAST_WAIST_MM = 6.0


@dataclass(frozen=True)
class Bout:
    """A place where a body is widest or narrowest: `name` is upper, waist or lower.

    `at_mm` is from the neck joint; `width_mm` across the whole body.
    """

    name: str
    at_mm: float
    width_mm: float


def bouts(outline: Stations) -> tuple[Bout, ...]:
    """Upper bout, waist and lower bout; the lower one alone of a body without a waist."""
    found = [
        (at, 2 * half)
        for (_, before), (at, half), (_, after) in zip(
            outline, outline[1:], outline[2:], strict=False
        )
        if (half - before) * (after - half) < 0
    ]
    names = NAMES[-1:] if len(found) == 1 else NAMES
    return tuple(Bout(name, *place) for name, place in zip(names, found, strict=True))


def stretched(preset: Preset, sizes: Mapping[str, float]) -> Preset:
    """The preset with its outline drawn through new bouts, and its soundhole moved along.

    Parameters
    ----------
    preset : Preset
    sizes : mapping of str to float
        New values by name, mm: `body_mm`, and for each bout its width and its place such as
        `upper_mm` and `upper_at_mm`. A bout whose place is not given moves in proportion to the
        body.

    Raises
    ------
    InputError
        Where the bouts leave no room for each other or a side could not be bent.
    """
    body, old = sizes.get("body_mm", preset.body_mm), bouts(preset.outline)
    longer = body / preset.body_mm
    new = [
        Bout(
            one.name,
            sizes.get(f"{one.name}_at_mm", one.at_mm * longer),
            sizes.get(f"{one.name}_mm", one.width_mm),
        )
        for one in old
    ]
    _check_widths(new, sizes)
    before, after = _knots(old, preset.body_mm), _knots(new, body)
    _check_places(before, after, sizes)
    outline = tuple(_moved(station, before, after) for station in preset.outline)
    _check_bend(outline, sizes)
    centre, _ = _moved((preset.hole.centre_mm, 0.0), before, after)
    return replace(preset, outline=outline, hole=replace(preset.hole, centre_mm=centre))


def carried(at_mm: float, before: Stations, after: Stations) -> float:
    """A place along one body carried to another: between the same bouts where both have them."""
    old, new = bouts(before), bouts(after)
    if len(old) != len(new):
        return at_mm * after[-1][0] / before[-1][0]
    place, _ = _moved((at_mm, 0.0), _knots(old, before[-1][0]), _knots(new, after[-1][0]))
    return place


def _knots(places: Sequence[Bout], body_mm: float) -> list[Point]:
    """Joint, bouts and tail as stations, between which the outline keeps its character."""
    return [(0.0, 0.0), *((one.at_mm, one.width_mm / 2) for one in places), (body_mm, 0.0)]


def _moved(station: Point, before: Sequence[Point], after: Sequence[Point]) -> Point:
    """A station carried from the stretch that it lies in to the one that takes its place."""
    at, half = station
    i = max(i for i, (start, _) in enumerate(before[:-1]) if start <= max(at, 0.0))
    (at_1, half_1), (at_2, half_2) = before[i], before[i + 1]
    (to_1, new_1), (to_2, new_2) = after[i], after[i + 1]
    long = at_2 - at_1
    pace_1, pace_2 = monotone_slopes(
        [to for to, _ in after], [b - a for (a, _), (b, _) in pairwise(before)]
    )[i : i + 2]
    t = (at - at_1) / long
    place = (
        to_1
        + (to_2 - to_1) * t * t * (3 - 2 * t)
        + long * t * (1 - t) * (pace_1 * (1 - t) - pace_2 * t)
    )
    alike = (to_2 - to_1) / long  # the factor that would keep the stretch's figure
    deeper = (new_2 - new_1) - alike * (half_2 - half_1)
    if 0 < i < len(before) - 2 and abs(new_2 - new_1) > alike * abs(half_2 - half_1):
        # A deeper waist: the flank grows steeper, the curves at its ends keep their figure.
        steeper = deeper * t**3 * (10 - 15 * t + 6 * t * t)
        return place, new_1 + alike * (half - half_1) + steeper
    return place, new_1 + (half - half_1) * (new_2 - new_1) / (half_2 - half_1)


def _check_widths(new: Sequence[Bout], sizes: Mapping[str, float]) -> None:
    if len(new) == 1:
        return
    upper, waist, lower = (one.width_mm for one in new)
    if waist > min(upper, lower) - LEAST_WAIST_MM:
        field = next((name for name in ("waist_mm", "upper_mm") if name in sizes), "lower_mm")
        raise InputError.at(
            field,
            f"the waist must be at least {LEAST_WAIST_MM:g} mm narrower than both bouts; got "
            f"{waist:g} mm between bouts of {upper:g} and {lower:g} mm. Make the waist narrower "
            "or the bouts wider.",
        )


def _check_places(
    before: Sequence[Point],
    after: Sequence[Point],
    sizes: Mapping[str, float],
) -> None:
    bodies = NAMES if len(after) > 3 else NAMES[-1:]
    names = ["the neck joint", *(SAID[name] for name in bodies), "the tail"]
    fields = ["", *(f"{name}_at_mm" for name in bodies), "body_mm"]
    for i, ((old, new), (old_2, new_2)) in enumerate(
        pairwise(zip((at for at, _ in before), (at for at, _ in after), strict=True))
    ):
        least, most = LEAST_STRETCH * (old_2 - old), MOST_STRETCH * (old_2 - old)
        if not least <= new_2 - new <= most:
            field = fields[i] if fields[i] in sizes else fields[i + 1]
            raise InputError.at(
                field,
                f"from {names[i]} to {names[i + 1]} this model’s body can be {least:.0f} to "
                f"{most:.0f} mm long; got {new_2 - new:.0f} mm. Move one of the two.",
            )


def _check_bend(outline: Stations, sizes: Mapping[str, float]) -> None:
    radius, (_, at) = tightest(fair_half(outline))
    if radius < LEAST_BEND_MM:
        raise InputError.at(
            next((field for field in sizes if field.startswith(NAMES)), "body_mm"),
            f"{at:.0f} mm from the neck the side would bend to a radius of {radius:.0f} mm; at "
            f"least {LEAST_BEND_MM:g} mm can be bent. Bring the widths closer or "
            "their places further apart.",
        )
