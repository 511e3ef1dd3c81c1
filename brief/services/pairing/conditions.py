"""The conditions a brief asks about: the bench, finished, aged, each viewing, and other eyes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brief.colour.viewing.colour_vision import Eyes, eyes
from brief.colour.viewing.conditions import BENCH, Condition, State
from brief.services.pairing.viewings import light_of, words_of
from brief.services.rack.surfaces import UNTESTED, Surface
from brief.store.records import Viewing
from brief.wood.ageing import ageing_words

# What a show is for is asked with full severity: who sees it then sees it with less.
OTHER_EYES: tuple[Eyes, ...] = (eyes("protan"), eyes("deutan"), eyes("tritan"))


@dataclass(frozen=True)
class AskedConditions:
    """Conditions, and what could not be asked about for want of a test, in words."""

    conditions: tuple[Condition, ...]
    missing: tuple[str, ...]


def asked_about(viewings: Sequence[Viewing], surfaces: Sequence[Surface]) -> AskedConditions:
    """All conditions for pieces with these surfaces, the bench first.

    A show sees the newest state that was tested on any of the pieces; what was not tested is taken
    in the state before it, and said to be.
    """
    tested: set[State] = {state for surface in surfaces for state in surface.shifts}
    shown: State = "finished" if "finished" in tested else "bare"
    conditions = [BENCH]
    if "finished" in tested:
        conditions.append(replace(BENCH, key="finished", words="finished", state="finished"))
    if "aged" in tested:
        conditions.append(replace(BENCH, key="aged", words="aged", state="aged"))
    places = [
        Condition(one.id, words_of(one), one.distance_m, shown, light_of(one)) for one in viewings
    ]
    conditions += places
    if "aged" in tested:
        conditions += [
            replace(one, key=f"{one.key}-aged", words=f"{one.words}, aged", state="aged")
            for one in places
        ]
    for place in places or [replace(BENCH, state=shown)]:
        conditions += [place.to(other) for other in OTHER_EYES]
    return AskedConditions(tuple(conditions), tuple(_missing(surfaces)))


def _missing(surfaces: Sequence[Surface]) -> list[str]:
    """What was never tested of these pieces, and what was done about it."""
    pieces = {surface.material.id: surface for surface in surfaces}.values()
    bare = [one.material.label for one in pieces if one.state("finished") != "finished"]
    unknown = [one.material for one in pieces if one.state("aged") != "aged"]
    said = []
    if bare:
        said.append(f"{UNTESTED['finished']}, judged bare: {'; '.join(bare)}.")
    if unknown:
        labels = "; ".join(one.label for one in unknown)
        ages = dict.fromkeys(_ages(one.label, one.species) for one in unknown)
        usual = "".join(f" Usually {known}." for known in ages if known)
        said.append(f"{UNTESTED['aged']}: {labels}.{usual}")
    return said


def _ages(label: str, species: str) -> str:
    return ageing_words(species) or ageing_words(label)
