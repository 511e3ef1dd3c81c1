"""The conditions a pair of colours is seen in: its state, the light, the distance, the eyes.

Each is a transform of Lab, and they compose in the order of the way from the wood to the mind:
state (a shift of the colour), light, distance (what the eye's optics keep of a fine line), eyes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from brief.colour.viewing.colour_vision import NORMAL, Eyes
from brief.colour.viewing.light import DAYLIGHT, Light

State = Literal["bare", "wetted", "finished", "aged"]

BENCH_M = 0.5  # arm's length; our working figure


@dataclass(frozen=True)
class Condition:
    """One way of seeing a pair.

    Attributes
    ----------
    key : str
        Short, and unique among the conditions asked about.
    words : str
        For a maker, such as "the fair's hall, from 2 m".
    distance_m : float, above 0
    state : str
        Of the wood: bare, wetted, finished or aged.
    """

    key: str
    words: str
    distance_m: float = BENCH_M
    state: State = "bare"
    light: Light = DAYLIGHT
    eyes: Eyes = NORMAL

    def to(self, eyes: Eyes) -> Condition:
        """The same place, to other eyes; key and words say so."""
        words = f"{self.words}, to {eyes.words}"
        return replace(self, key=f"{self.key}-{eyes.kind}", words=words, eyes=eyes)


BENCH = Condition("bench", "at the bench")
