"""As what the timbers on the pages are shown: in which state, in which light, to which eyes, on
which ground; and from which side the instrument is.

It changes nothing that is stored; a browser keeps it, and sends it along in a cookie.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import get_args
from urllib.parse import parse_qsl

from brief.colour.viewing.colour_vision import NORMAL, Eyes, eyes
from brief.colour.viewing.conditions import State
from brief.colour.viewing.light import DAYLIGHT, Light, light, lights, seen_matrix
from brief.instrument import Face
from brief.services.pairing.viewings import light_of
from brief.store.records import Viewing

FACES: tuple[Face, ...] = get_args(Face)
STATES: tuple[State, ...] = get_args(State)
EYES: dict[str, str] = {
    "normal": "normal vision",
    "protan": "red-blind",
    "deutan": "green-blind",
    "tritan": "blue-blind",
}
SURROUNDS = {"light": "light grey", "dark": "dark grey"}
RELIEFS = {"off": "off, as measured", "on": "on, to look at"}
SHOWN_LIGHTS = ("A", "LED-B3", "FL2")  # to be tried where a brief names no place of its own


@dataclass(frozen=True)
class Switches:
    """What the switches stand at; all lights of a brief are named by the id of the viewing."""

    state: State = "bare"
    light: str = DAYLIGHT.key
    eyes: str = NORMAL.kind
    view: Face = "front"
    surround: str = "light"
    relief: str = "off"

    @classmethod
    def parse(cls, text: str) -> Switches:
        """ "state=finished&light=A&eyes=deutan"; what is not known is left as it comes."""
        given = dict(parse_qsl(text))
        state = given.get("state", "")
        return cls(
            state=state if state in STATES else "bare",
            light=given.get("light", DAYLIGHT.key)[:30],
            eyes=given["eyes"] if given.get("eyes") in EYES else NORMAL.kind,
            view=next((face for face in FACES if face == given.get("view")), "front"),
            surround=given["surround"] if given.get("surround") in SURROUNDS else "light",
            relief=given["relief"] if given.get("relief") in RELIEFS else "off",
        )


@dataclass(frozen=True)
class Shown:
    """The switches, and what follows from them for one brief.

    matrix : the values of an SVG feColorMatrix on linear sRGB; empty where it changes nothing.
    lights : value and words of each light that can be chosen. words : what is shown, for a caption.
    """

    switches: Switches
    light: Light
    eyes: Eyes
    matrix: str
    lights: tuple[tuple[str, str], ...]
    words: str

    @property
    def shaded(self) -> bool:
        """Whether the instrument has light and shadow."""
        return self.switches.relief == "on"

    @property
    def otherwise(self) -> bool:
        """Whether the timber is shown in any other way than it was measured."""
        return bool(self.matrix) or self.switches.state != "bare"


def shown_as(switches: Switches, viewings: Sequence[Viewing]) -> Shown:
    """What the switches come to; a light that is not known here counts as daylight."""
    places = {one.id: light_of(one) for one in viewings}
    known = {one.key: one for one in lights()}
    chosen = places.get(switches.light) or known.get(switches.light) or DAYLIGHT
    seen_by = eyes(switches.eyes)
    plain = chosen == DAYLIGHT and seen_by == NORMAL
    named = [(one.id, f"{one.name}: {places[one.id].words}") for one in viewings]
    words = [
        switches.state,
        next((f"in {one.name}" for one in viewings if one.id == switches.light), _lit(chosen)),
        "" if seen_by == NORMAL else f"to {seen_by.words}",
    ]
    return Shown(
        switches=switches,
        light=chosen,
        eyes=seen_by,
        matrix="" if plain else _values(seen_matrix(chosen, seen_by)),
        lights=(
            (DAYLIGHT.key, "daylight"),
            *named,
            *((key, light(key).words) for key in SHOWN_LIGHTS),
        ),
        words=", ".join(part for part in words if part),
    )


def _lit(by: Light) -> str:
    article = "" if by.words.startswith(("a ", "daylight")) else "a "
    return f"in {by.words}" if by == DAYLIGHT else f"lit by {article}{by.words}"


def _values(matrix: Iterable[Iterable[float]]) -> str:
    rows = [" ".join(f"{value:.5f}" for value in row) + " 0 0" for row in matrix]
    return " ".join([*rows, "0 0 0 1 0"])
