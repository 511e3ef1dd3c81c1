"""What of a trip does not fit together, is late or is still open, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import pairwise

from brief.english import agree, words
from brief.services.common.formatting import day
from brief.services.trip.itinerary.times import Timed, TimedLeg, TimedStay, ways_of
from brief.store.records import Brief

MOST_NAMED, MOST_NIGHTS = 3, 400


def warnings_of(brief: Brief, found: list[Timed]) -> Iterator[str]:
    """First what cannot be, then what is late, then what is open."""
    ways = ways_of(found)
    for one in found:
        yield from one.span.remarks
        if one.span.minutes is not None and one.span.minutes <= 0:
            yield f"“{one.name}” ends before it begins, by the clocks of its places."
    for before, after in pairwise(ways):
        yield from _gap(before, after)
    if ways:
        yield from _against_the_run_up(brief, ways[0])
    yield from _late_for_the_stand(found, ways)
    nights = nights_without_bed(found)
    if nights:
        those = _some([day(one) for one in nights])
        yield f"No bed yet for the {agree(nights, 'night', 'nights')} of {those}."
    if unsure := [f"“{one.name}”" for one in found if not one.view.booked]:
        yield f"Not booked: {_some(unsure)}."


def leave_by(brief: Brief) -> date | None:
    """The last day to leave on: the opening, less the days of travel."""
    if brief.opens_on is None:
        return None
    return brief.opens_on - timedelta(days=brief.travel_days)


def nights_without_bed(found: list[Timed]) -> list[date]:
    """The nights, by the day before each, that no stay and no leg covers while one is away."""
    covered = {
        one.span.first + timedelta(days=at)
        for one in found
        if isinstance(one, TimedLeg) or one.is_night
        for at in range(min((one.span.last - one.span.first).days, MOST_NIGHTS))
    }
    away = []
    for before, after in pairwise(ways_of(found)):
        nights = (after.span.first - before.span.last).days
        if before.end.role != "home":
            away += [
                before.span.last + timedelta(days=at) for at in range(min(nights, MOST_NIGHTS))
            ]
    return [one for one in dict.fromkeys(away) if one not in covered]


def _some(those: Sequence[str]) -> str:
    if len(those) <= MOST_NAMED:
        return words(those)
    return f"{', '.join(those[:MOST_NAMED])} and {len(those) - MOST_NAMED} more"


def _gap(before: TimedLeg, after: TimedLeg) -> Iterator[str]:
    if before.end.id != after.start.id:
        yield f"“{after.name}” leaves {after.start.name}; the leg before ends at {before.end.name}."
    elif before.span.end and after.span.start and after.span.start.utc < before.span.end.utc:
        yield f"“{after.name}” leaves before the leg to {before.end.name} arrives."


def _against_the_run_up(brief: Brief, first: TimedLeg) -> Iterator[str]:
    leaves, by = first.span.first, leave_by(brief)
    if brief.wanted_by and leaves < brief.wanted_by:
        yield (
            f"“{first.name}” leaves on {day(leaves)}, before the instrument is to be ready, "
            f"{day(brief.wanted_by)}."
        )
    if by and leaves > by:
        yield f"It leaves after {day(by)}, the last day by the opening and the days of travel."


def _late_for_the_stand(found: list[Timed], ways: Sequence[TimedLeg]) -> Iterator[str]:
    """The first hours of the stand, against the leg that comes to its hall."""
    stand = next((one for one in found if isinstance(one, TimedStay) and one.is_stand), None)
    if stand is None:
        return
    there = next((one for one in ways if one.end.id == stand.stop.id), None)
    if there is None:
        yield f"No leg comes to {stand.stop.name}."
    elif there.span.last > stand.span.first or (
        there.span.end and stand.span.start and there.span.end.utc > stand.span.start.utc
    ):
        yield f"“{there.name}” arrives after “{stand.name}” begins."
