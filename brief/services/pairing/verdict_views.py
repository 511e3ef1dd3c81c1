"""A verdict on a pair as it is shown, under each condition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from pydantic import BaseModel, Field

from brief.colour import PairVerdict
from brief.colour.verdicts.pairs import Reading
from brief.colour.verdicts.verdict import Seen
from brief.colour.viewing.conditions import Condition, State
from brief.colour.viewing.observer import FOUND, SHARE_OF_SPREAD, STANDS_OUT

NO_WIDTH = "No width is given: the inlay is judged as an area, not as a line."


class ReadUnder(BaseModel):
    """How an inlay reads under one condition."""

    key: str = Field(examples=["bench"])
    words: str = Field(examples=["in the fair’s hall, from 2 m"])
    state: State
    light: str = Field(examples=["LED-B3"])
    eyes: str = Field(examples=["deutan"])
    distance_m: float
    reading: Reading = Field(
        description="reads: stands out at a glance; doubtful: found only when looked for, or not "
        "sure to be either; sinks: not found"
    )


def told_of(condition: Condition) -> dict[str, Any]:
    """What `ReadUnder` says of a condition."""
    return {
        "key": condition.key,
        "words": condition.words,
        "state": condition.state,
        "light": condition.light.key,
        "eyes": condition.eyes.kind,
        "distance_m": condition.distance_m,
    }


def no_scale(photograph: str) -> str:
    """What is taken of a timber whose photograph has no scale."""
    return (
        f"{photograph} has no scale: {SHARE_OF_SPREAD} of its figure’s spread is taken to trouble "
        "the line, which is a careful guess."
    )


class DifferenceView(BaseModel):
    """CIEDE2000 and what it is made of; the parts are signed, inlay less ground."""

    total: float
    uncertainty: float
    lightness: float
    chroma: float
    hue: float


class HarmonyView(BaseModel):
    """Ou and Luo 2006; below 0 is rated disharmonious on plain patches on a screen."""

    total: float
    chromatic: float
    lightness: float
    hue: float


class SeenView(ReadUnder):
    """The pair under one condition; differences in CIEDE2000."""

    difference: DifferenceView = Field(description="Of the two colours, as large patches")
    seen: float = Field(
        description="What the eye keeps of a line of that width, against the wood beside it"
    )
    seen_uncertainty: float
    detectability: float = Field(
        description=f"d' of the line in this wood: from {FOUND} it is found when looked for, from "
        f"{STANDS_OUT} it stands out"
    )
    found: float = Field(description="The difference from which the inlay is found at all")
    needed: float = Field(
        description="The difference from which it stands out at a glance, and so reads"
    )
    grain: float | None = Field(
        description="How far the bare wood strays under the template of the line, RMS CIEDE2000; "
        "None where a usual figure is assumed"
    )
    drowned_share: float | None = Field(
        description="Part of the ground's own pixels within 5 CIEDE2000 of the inlay as seen; "
        "the reading does not follow from it"
    )
    harmony: HarmonyView
    width_to_read: float | None = Field(description="mm from which on a line would read here")
    distance_to_read: float | None = Field(description="m out to which this line reads")
    names_colour: bool | None = Field(
        description="Whether the hue of a line of this width can be told from here"
    )


class VerdictView(BaseModel):
    """A verdict as it is shown."""

    sentence: str
    reading: Reading = Field(description="At the bench")
    worst: str = Field(description="The key of the condition under which it does worst")
    better_than: float | None = Field(
        description="Share of the rack's other pairs that are less harmonious, 0 to 1"
    )
    rivals: int = Field(description="How many other pairs the rack could make")
    standing: str = Field(description="The same in words", examples=["6 in 10"])
    seen: list[SeenView] = Field(description="Under each condition, the bench first")
    missing: list[str] = Field(description="What is not known, and what was done about it")

    @property
    def bench(self) -> SeenView:
        """Under the first condition."""
        return self.seen[0]

    @property
    def headlines(self) -> tuple[SeenView, ...]:
        """The bench, and where it does worst if it does worse there."""
        worst = next(one for one in self.seen if one.key == self.worst)
        return (self.bench,) if worst.reading == self.reading else (self.bench, worst)


def verdict_view(verdict: PairVerdict, missing: Sequence[str] = ()) -> VerdictView:
    """A verdict as it is shown; `missing` says which conditions could not be judged, and why."""
    return VerdictView(
        sentence=verdict.sentence,
        reading=verdict.bench.reading,
        worst=verdict.worst.condition.key,
        better_than=verdict.better_than,
        rivals=verdict.rivals,
        standing=verdict.standing,
        seen=[_seen_view(one) for one in verdict.seen],
        missing=list(missing),
    )


def _seen_view(one: Seen) -> SeenView:
    return SeenView(
        **told_of(one.condition),
        reading=one.reading,
        difference=DifferenceView(**asdict(one.difference), uncertainty=one.uncertainty),
        harmony=HarmonyView(**asdict(one.harmony)),
        **{
            name: getattr(one, name)
            for name in (
                "seen",
                "seen_uncertainty",
                "detectability",
                "found",
                "needed",
                "grain",
                "drowned_share",
                "width_to_read",
                "distance_to_read",
                "names_colour",
            )
        },
    )
