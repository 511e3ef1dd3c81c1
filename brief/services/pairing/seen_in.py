"""In which place, state and eyes the pairings of a brief are seen: as was asked, as the switches
have it, or else as visitors will see them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from brief.colour.viewing.conditions import BENCH_M, Condition, State
from brief.colour.viewing.light import DAYLIGHT
from brief.services.common.typed_numbers import briefly
from brief.services.pairing.view_settings import EYES, STATES, Shown, Switches, shown_as
from brief.store.records import Viewing

AT_THE_BENCH = "at the bench"


@dataclass(frozen=True)
class SeenIn:
    """How pairings are seen, as `Shown`, and from where.

    place : the viewing it is at; None at the bench. place_words : "from 2 m", after a verb.
    """

    shown: Shown
    place: Viewing | None

    @property
    def distance_m(self) -> float:
        """From the eye to the wood."""
        return self.place.distance_m if self.place else BENCH_M

    @property
    def place_words(self) -> str:
        """ "from 2 m", or "at the bench": after a verb."""
        return f"from {briefly(self.place, 'distance_m')}" if self.place else AT_THE_BENCH

    @property
    def words(self) -> str:
        """ "Finished, in the net loft, from 2 m": over all that is seen so."""
        words = f"{self.shown.words}, {self.place_words}"
        return words[:1].upper() + words[1:]

    @property
    def condition(self) -> Condition:
        """The same for a verdict."""
        switches = self.shown.switches
        return Condition(
            "here",
            self.words,
            self.distance_m,
            switches.state,
            self.shown.light,
            self.shown.eyes,
        )

    @property
    def asked(self) -> dict[str, str]:
        """What an address asks for it by."""
        switches = self.shown.switches
        return {"place": switches.light, "state": switches.state, "eyes": switches.eyes}

    def query(self, **other: str) -> str:
        """It as a query, with something otherwise."""
        return urlencode(self.asked | other)


@dataclass(frozen=True)
class SeenChoice:
    """One of several ways to see: its words, the query that asks for it, and whether it is now."""

    words: str
    query: str
    now: bool


def seen_in(
    asked: dict[str, str], switches: Switches, viewings: Sequence[Viewing], *, finished: bool
) -> SeenIn:
    """What was asked for in an address; else what the switches have set; else the first place, in
    the newest state short of age.

    finished : whether anything shown has a finish test.
    """
    first = viewings[0].id if viewings else DAYLIGHT.key
    usual: State = "finished" if finished else "bare"
    chosen = {
        "light": switches.light if switches.light != DAYLIGHT.key else first,
        "state": switches.state if switches.state != "bare" else usual,
        "eyes": switches.eyes,
    }
    known = {one.id for one in viewings} | {DAYLIGHT.key}
    if asked.get("place") in known:
        chosen["light"] = asked["place"]
    if asked.get("state") in STATES:
        chosen["state"] = asked["state"]
    if asked.get("eyes") in EYES:
        chosen["eyes"] = asked["eyes"]
    settled: dict[str, Any] = chosen
    shown = shown_as(replace(switches, **settled), viewings)
    if shown.light == DAYLIGHT and chosen["light"] not in known:  # a place of another brief
        shown = shown_as(replace(switches, **settled | {"light": first}), viewings)
    return SeenIn(shown, next((one for one in viewings if one.id == shown.switches.light), None))


def place_choices(seen: SeenIn, viewings: Sequence[Viewing]) -> list[SeenChoice]:
    """The bench and every place; a lamp that the switches have set, too."""
    known = [(one.id, one.name) for one in viewings]
    light = seen.shown.switches.light
    if light not in {DAYLIGHT.key, *(key for key, _ in known)}:
        known.append((light, seen.shown.light.words))
    return [
        SeenChoice(words, seen.query(place=key), key == light)
        for key, words in [(DAYLIGHT.key, AT_THE_BENCH), *known]
    ]


def state_choices(seen: SeenIn, tested: Sequence[State]) -> list[SeenChoice]:
    """Bare, and every state that was tested."""
    now = seen.shown.switches.state
    states = [one for one in STATES if one in ("bare", now) or one in tested]
    return [SeenChoice(one, seen.query(state=one), one == now) for one in states]


def eyes_choices(seen: SeenIn) -> list[SeenChoice]:
    """The four kinds of eyes."""
    now = seen.shown.switches.eyes
    return [SeenChoice(words, seen.query(eyes=key), key == now) for key, words in EYES.items()]
