"""A verdict in one plain sentence, for somebody who looks at the picture beside it.

It is made of the readings that the picture's slider shows and of nothing else, so that the two
cannot disagree. A line is said to show clearly where it reads.
"""

from __future__ import annotations

from collections.abc import Sequence

from brief.colour.verdicts.pairs import READINGS, Reading
from brief.colour.verdicts.step_back import StepBack
from brief.colour.viewing.conditions import BENCH, Condition, State

MOST_WORDS = 14
# The middle word as pages have it; the two others are said as they are.
SAID: dict[Reading, str] = {"reads": "reads", "doubtful": "is borderline", "sinks": "sinks"}
IN_STATE: dict[State, str] = {
    "bare": "while bare",
    "wetted": "while wet",
    "finished": "once finished",
    "aged": "once aged",
}


def metres(distance_m: float) -> str:
    """A distance as the slider says it: "3.4 m", with a space that does not break."""
    return f"{round(distance_m, 2):g}\u00a0m"


def plain_sentence(
    steps: StepBack,
    distance_m: float,
    place: str,
    elsewhere: Sequence[tuple[Condition, Reading]] = (),
    here: Condition | None = None,
) -> str:
    """What is seen from there, and where that changes, in at most 14 words.

    Parameters
    ----------
    steps : StepBack
        Under one condition.
    distance_m : float
        Where one stands; one of the distances of `steps`.
    place : str
        The same in words that follow a verb, such as "from 2 m".
    elsewhere : sequence of (Condition, str), optional
        How it reads under the other conditions asked about.
    here : Condition, optional
        Which condition `steps` are of; without it nothing is said of others.

    Returns
    -------
    str
    """
    at = steps.index(distance_m)
    reading, lean = steps.readings[at], steps.leans[at]
    if reading == "reads":
        begins = f"Shows clearly {place}"
    elif reading == "sinks":
        begins = f"Disappears {place}"
    elif lean == "reads":
        begins = f"Probably shows {place}"
    elif lean == "sinks":
        begins = f"May disappear {place}"
    else:
        begins = f"Found {place} only when looked for"
    worse = _worse(reading, elsewhere, here) if here is not None else ""
    reach = _reach(steps, distance_m)
    for clauses in ((worse, reach), (worse,), (reach,), ()):
        said = "; ".join([begins, *(one for one in clauses if one)])
        if len(said.split()) <= MOST_WORDS:
            return f"{said}."
    return f"{' '.join(begins.split()[:2])} here."  # a place that is told in a dozen words


def reach_sentence(steps: StepBack, distance_m: float) -> str:
    """Where a line begins or stops to read, as in `plain_sentence`, as a sentence of its own."""
    said = _reach(steps, distance_m).removeprefix("it ")
    said = said or f"still reads at {metres(steps.distances_m[-1])}"
    return f"{said[0].upper()}{said[1:]}."


def _reach(steps: StepBack, distance_m: float) -> str:
    """Where it begins or stops to read, seen from where one stands."""
    run, at = steps.reads_about(distance_m), steps.index(distance_m)
    reads = steps.readings[at] == "reads"
    if run is None:
        unsure = steps.leans[at] in ("reads", "sinks")
        return "not certain at any distance" if unsure else "it reads at no distance"
    first, past = run
    if reads:
        return f"stops reading at {metres(past)}" if past is not None else ""
    if past is None:
        return f"it reads only from {metres(first or 0.0)} on"
    if first is None:
        return f"it stops reading at {metres(past)}"
    return f"reads from {metres(first)}, not from {metres(past)}"


def _worse(
    reading: Reading, elsewhere: Sequence[tuple[Condition, Reading]], here: Condition
) -> str:
    """The worst of the other conditions, if it is worse than here, by what is other there."""
    if not elsewhere:
        return ""
    least = min((one for _, one in elsewhere), key=READINGS.index)
    if READINGS.index(least) >= READINGS.index(reading):
        return ""
    there = [condition for condition, one in elsewhere if one == least]
    causes = list(dict.fromkeys(_cause(condition, here) for condition in there))
    return f"{SAID[least]} {causes[0]}"


def _cause(there: Condition, here: Condition) -> str:
    if there.key == BENCH.key:
        return there.words
    same_place = there.light == here.light and there.distance_m == here.distance_m
    if same_place and there.state == here.state:
        return f"to {there.eyes.words}"
    if same_place and there.eyes == here.eyes:
        return IN_STATE[there.state]
    return "elsewhere"
