"""A shot of a brief's instrument: what goes in, its hash, and what is to be said of the picture."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Literal

from brief.colour.viewing.conditions import State
from brief.colour.viewing.light import Light, lights
from brief.english import words
from brief.errors import InputError, quoted
from brief.instrument.presets import Preset, data_of
from brief.instrument.rendering.fill import Fill
from brief.services.common.finding import listed
from brief.services.common.formatting import plain
from brief.services.drawing.instrument_drawing import chosen, fills_of
from brief.services.instrument.brief_inlays import inlays_of, laid_in, shown_inlays
from brief.services.instrument.dimensions import instrument_of
from brief.services.pairing.view_settings import STATES, Switches, shown_as
from brief.services.pairing.viewings import light_of
from brief.services.studio.pieces import WornPart, with_picture, worn_by
from brief.store.desk import Desk
from brief.store.records import Brief, Part, StudioPicture, Viewing
from brief.studio.looks import Look
from brief.studio.scene import Order
from brief.studio.shot import Shot
from brief.studio.views import VIEWS, WORDS, View, is_close

EDITION = 3
"""Raised with whatever makes the same shot another picture."""
Fineness = Literal["fine", "small"]
SIZES: dict[Fineness, tuple[int, int, int]] = {"fine": (900, 1300, 16), "small": (450, 650, 8)}
"""Width and height in pixels, and passes."""
LIKELY_FIRST: tuple[State, ...] = ("finished", *(one for one in STATES if one != "finished"))
AWAY_M = 2.0  # where no place of the brief says how far off people stand
COMPUTED = "Computed, not photographed."
EARLIER = "Of an earlier state: what it is computed from has changed since."


@dataclass(frozen=True)
class StudioAsked:
    """What is asked of the studio.

    light : the id of a place of the brief, or a light's CIE name.
    """

    view: View = "turned"
    light: str = "D65"
    state: State = "finished"
    fineness: Fineness = "fine"


@dataclass(frozen=True)
class Planned:
    """A shot that may be taken.

    made_of : SHA-256 of all that goes in. name : of the picture. said : sentences on how it was
    lit, what of it is measured and what is guessed. shot : reads the photographs, and gives what
    the renderer needs; raises InputError where the file of one is lost.
    """

    brief_id: str
    asked: StudioAsked
    made_of: str
    name: str
    said: tuple[str, ...]
    shot: Callable[[Desk], Shot]


class Today:
    """A brief as it goes into the studio now; what its shots have in common is looked up once."""

    def __init__(self, desk: Desk, brief: Brief) -> None:
        self._desk, self._brief = desk, brief
        self._viewings = listed(desk, Viewing, brief_id=brief.id)
        self._made = instrument_of(brief)
        self._parts = listed(desk, Part, brief_id=brief.id)
        self._chosen = chosen(desk, self._parts)
        self._held = inlays_of(desk, brief)
        self._laid = laid_in(self._made, self._held)
        self._inlays = shown_inlays(self._made, self._held)
        self._fills: dict[State, dict[str, Fill]] = {}
        self._worn: dict[tuple[State, str], list[WornPart]] = {}
        self._hashes: dict[StudioAsked, str] = {}

    def planned(self, asked: StudioAsked) -> Planned:
        """What a picture would be made of. Raises InputError for a light that there is not."""
        shown = shown_as(Switches(light=asked.light), self._viewings)
        place = next((one for one in self._viewings if one.id == asked.light), None)
        if place is None and shown.light.key != asked.light:
            raise InputError.at(
                "light",
                f"The studio can light it as one of this brief’s places, or by a light’s CIE name "
                f"such as D65, A or LED-B3; got {quoted(asked.light)}.",
            )
        fills, worn, made, laid = (
            self._filled(asked.state),
            self._looks(asked),
            self._made,
            self._laid,
        )
        width, height, passes = SIZES[asked.fineness]
        order = Order(
            asked.view,
            shown.light,
            place.distance_m if place else AWAY_M,
            width,
            height,
            passes,
            (0.0, made.hole.centre_mm),
        )

        def shot(desk: Desk) -> Shot:
            looks = {one.part.role: with_picture(desk, one) for one in worn}
            if desk.lost:  # what is plain in their place is not what is said to be measured
                lost = words([quoted(name) for name in desk.lost.values()])
                raise InputError(
                    f"The file of a photograph is lost or damaged: {lost}. Add the same file "
                    "again, or put it back from a backup: brief check --repair --from BACKUP"
                )
            return Shot(made, fills, laid, looks, order)

        where = f"in {place.name}" if place else shown.light.words
        return Planned(
            self._brief.id,
            asked,
            _hash(made, fills, self._inlays, worn, order, where),
            f"{plain_view(asked.view)}, {where}"[:200],
            (
                COMPUTED,
                _lit(shown.light, place),
                *_known(made, self._parts, worn, asked.state),
            ),
            shot,
        )

    def would_give(self, picture: StudioPicture) -> bool:
        """Whether a picture is what the studio would compute of the brief as it is now.

        It does not say which state or size was asked for, so each is compared.
        """
        return any(
            self._hash_of(StudioAsked(view, light, state, fineness)) == picture.made_of
            for light in lit_as(self._viewings, picture.said)
            for state in LIKELY_FIRST
            for fineness in SIZES
            for view in VIEWS
            if view == picture.view
        )

    def _hash_of(self, asked: StudioAsked) -> str:
        if asked not in self._hashes:
            self._hashes[asked] = self.planned(asked).made_of
        return self._hashes[asked]

    def _filled(self, state: State) -> dict[str, Fill]:
        if state not in self._fills:
            self._fills[state] = fills_of(self._desk, self._chosen, state, public=True)
        return self._fills[state]

    def _looks(self, asked: StudioAsked) -> list[WornPart]:
        wanted = asked.state, "page" if is_close(asked.view) else "texture"
        if wanted not in self._worn:
            self._worn[wanted] = worn_by(self._desk, self._chosen, *wanted)
        return self._worn[wanted]


def planned(desk: Desk, brief: Brief, asked: StudioAsked) -> Planned:
    """What a picture of the brief as it is now would be made of.

    Raises InputError for a light that there is not.
    """
    return Today(desk, brief).planned(asked)


def lit_as(viewings: Sequence[Viewing], said: Sequence[str]) -> list[str]:
    """The lights there are now, as `StudioAsked.light`, that a picture of which this is said may
    have.
    """
    places = {one.id: _by(light_of(one), one) for one in viewings}
    every = places | {one.key: _by(one, None) for one in lights()}
    return [light for light, by in every.items() if "".join(said[1:2]).startswith(by)]


def plain_view(view: View) -> str:
    """A view with a capital, as a picture is called."""
    return WORDS[view][0].upper() + WORDS[view][1:]


def _lit(light: Light, place: Viewing | None) -> str:
    bright = f", {plain(place.lux)} lx there" if place and place.lux else ""
    return f"{_by(light, place)}{bright}; exposed by a grey card."


def _by(light: Light, place: Viewing | None) -> str:
    where = f" in {place.name}" if place else ""
    return f"Lit as{where} by {light.words}"


def _known(
    made: Preset, parts: Sequence[Part], worn: Sequence[WornPart], state: State
) -> list[str]:
    """What of the picture is measured, and what is guessed or left plain."""
    said = []
    by_role = {one.part.role: one for one in worn}
    measured = [one.part.name.lower() for one in worn]
    if measured:
        said.append(f"Colour and figure measured: {words(measured)}.")
    untested = [
        one.part.name.lower()
        for one in worn
        if state != "bare" and one.surface.state(state) != state
    ]
    if untested:
        said.append(f"No test of them {state}, so in their bare colour: {words(untested)}.")
    flat = [one.part.name.lower() for one in worn if one.picture is None]
    if flat:
        said.append(f"Without a figure: {words(flat)}.")
    names = {one.role: one.name for one in made.parts} | {one.role: one.name for one in parts}
    bare = [name.lower() for role, name in names.items() if role not in by_role]
    if bare:
        said.append(f"No piece chosen, so plain or as usual: {words(bare)}.")
    guessed = ["how a finish shines", "frets, strings and posts", "the room and its lamps’ places"]
    if any(one.look.substance == "shell" for one in worn):
        guessed.insert(1, "the sheen of shell, which has no play of colours here")
    said.append(f"Guessed: {words(guessed)}. Spectra are worked out from measured colours.")
    return said


def _hash(
    made: Preset,
    fills: dict[str, Fill],
    inlays: Sequence[object],
    worn: Sequence[WornPart],
    order: Order,
    where: str,
) -> str:
    told = {
        "edition": EDITION,
        "preset": data_of(made),
        "fills": {role: asdict(replace(fill, label="", jpeg=None)) for role, fill in fills.items()},
        "inlays": [repr(one) for one in inlays],
        "looks": {one.part.role: [_plain(one.look), one.picture] for one in worn},
        "where": where,  # of two places with one lamp each has its own, for the words name it
        "order": {**asdict(order), "lit_by": order.lit_by.key},
    }
    if order.view != "hall":
        del told["order"]["distance_m"]  # type: ignore[attr-defined]
    text = json.dumps(told, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(look: Look) -> dict[str, object]:
    return {**asdict(look), "picture": None}
