"""A pairing at a glance: its word, its plain sentence, and what becomes of it as one steps back.

All three are of the same readings. They follow from the colours, the line and the wood alone, so
that what was worked out once is kept in memory for the next time the same is asked.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

from brief.colour.verdicts.pairs import Reading
from brief.colour.verdicts.plain_words import plain_sentence
from brief.colour.verdicts.step_back import StepBack, step_back
from brief.colour.viewing.conditions import Condition
from brief.colour.viewing.observer import LinePiece
from brief.services.pairing.conditions import asked_about
from brief.services.pairing.seen_in import SeenIn
from brief.services.pairing.sides import Sides
from brief.store.records import Pairing, Viewing

NEAREST_M, FARTHEST_M, STEP_M = 0.3, 6.0, 0.1
KEPT = 4096  # readings in memory, of a kilobyte or so each


@dataclass(frozen=True)
class Glance:
    """What is seen of a pairing from one place.

    reading : from there. steps : on the way there and beyond. elsewhere : the readings under the
    other conditions that were asked about, by their words.
    """

    reading: Reading
    sentence: str
    steps: StepBack
    elsewhere: Sequence[tuple[Condition, Reading]]


@dataclass(frozen=True)
class _Wood:
    """The ground as a line meets it; told from another by its key."""

    key: str
    piece: LinePiece | None = field(compare=False)
    figure: Any = field(compare=False)


def distances(viewings: Sequence[Viewing], here_m: float) -> tuple[float, ...]:
    """Every stop of the slider: each tenth of a metre, and where people stand, in metres."""
    asked = {here_m, *(one.distance_m for one in viewings)}
    count = round((max(FARTHEST_M, *asked) - NEAREST_M) / STEP_M)
    stops = {round(NEAREST_M + STEP_M * i, 1) for i in range(count + 1)}
    return tuple(sorted(stops | {one for one in asked if one >= NEAREST_M}))


def glance(pairing: Pairing, sides: Sides, seen: SeenIn, viewings: Sequence[Viewing]) -> Glance:
    """One pairing as it is seen in that place; `sides` are its own."""
    return glance_by(partial(_steps, pairing, sides), sides, seen, viewings)


def glance_by(
    judge: Callable[[Condition, tuple[float, ...]], StepBack],
    sides: Sides,
    seen: SeenIn,
    viewings: Sequence[Viewing],
) -> Glance:
    """What is seen in that place of whatever is judged so: under a condition, from distances."""
    here = seen.condition
    from_m = max(here.distance_m, NEAREST_M)
    steps = judge(here, distances(viewings, from_m))
    asked = asked_about(viewings, sides.surfaces).conditions
    elsewhere = [(one, judge(one, (one.distance_m,)).readings[0]) for one in asked]
    said = plain_sentence(steps, from_m, seen.place_words, elsewhere, here)
    return Glance(steps.readings[steps.index(from_m)], said, steps, elsewhere)


def glances(
    pairings: Sequence[Pairing],
    sides: Mapping[str, Sides],
    seen: SeenIn,
    viewings: Sequence[Viewing],
) -> dict[str, Glance]:
    """The same of several, by their ids; those that lack a colour are left out."""
    return {
        one.id: glance(one, sides[one.id], seen, viewings) for one in pairings if one.id in sides
    }


def _steps(
    pairing: Pairing, sides: Sides, condition: Condition, distances_m: tuple[float, ...]
) -> StepBack:
    state = condition.state
    return judged(
        _wood(sides),
        sides.ground.lab(state),
        sides.inlay.lab(state),
        sides.doubt(state),
        pairing.line_mm,
        replace(condition, key="", words=""),
        distances_m,
    )


@lru_cache(KEPT)
def judged(
    wood: _Wood,
    ground: tuple[float, float, float],
    inlay: tuple[float, float, float],
    doubt: float,
    line_mm: float | None,
    condition: Condition,
    distances_m: tuple[float, ...],
) -> StepBack:
    """As `step_back`, once for each pair of colours in that wood under that condition."""
    return step_back(
        ground,
        inlay,
        condition,
        distances_m,
        line_mm=line_mm,
        uncertainty=doubt,
        piece=wood.piece,
        figure=wood.figure,
    )


def _wood(sides: Sides) -> _Wood:
    if sides.figure is not None:
        return _Wood(sides.figure.key, sides.figure.piece, None)
    loose = sides.loose_figure
    if loose is None:
        return _Wood("", None, None)
    return _Wood(hashlib.sha256(loose.tobytes()).hexdigest(), None, loose)
