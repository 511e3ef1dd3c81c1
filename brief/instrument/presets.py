"""The kinds of instrument this package can draw, as data read from presets/*.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from functools import cache, cached_property
from importlib.resources import files
from typing import Any, Literal

from brief.errors import InputError, quoted
from brief.instrument.frets.fretboard import Fretboard
from brief.unchanging import unchanging

Stations = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class PresetPart:
    """A part that takes a material. `drawn` says whether the front of the instrument shows it."""

    role: str
    name: str
    drawn: bool
    note: str


@dataclass(frozen=True)
class Hole:
    """The soundhole, its centre measured from the neck joint, mm.

    Each rosette ring is a pair of radii, inner and outer.
    """

    centre_mm: float
    diameter_mm: float
    rosette_mm: Stations


@dataclass(frozen=True)
class Bridge:
    """The bridge, mm; `hold` says what the strings end in, `spread_mm` is outer string to outer.

    `bass_mm` and `treble_mm` are how far beyond the scale the saddle is under those strings.
    """

    shape: Literal["bar", "pyramid", "belly"]
    hold: Literal["pins", "tie", "tailpiece"]
    width_mm: float
    depth_mm: float
    spread_mm: float
    bass_mm: float
    treble_mm: float


@dataclass(frozen=True)
class Head:
    """The head as stations [distance from the nut, half width], mm.

    `outline` is its side, `crest` its top from the corner to the centre line; `posts_mm` are the
    tuners of one side.
    """

    slotted: bool
    posts_mm: tuple[float, ...]
    outline: Stations
    crest: Stations


OUTLINE_EDITION = 2
"""Of the presets' outlines: the first were curves through 23 stations, these are fair through their
bouts. Who printed or cut by an older one has to read of it."""


@dataclass(frozen=True)
class Preset:
    """One kind of instrument. Lengths in millimetres.

    `outline` holds stations [distance from the neck joint, half width] from the joint to the tail;
    `gauges_mm` runs bass to treble and its first `wound` strings are wound.

    The fretboard runs `beyond_mm` past its last fret and is rounded to `radius_mm` at the nut and
    `radius_end_mm` at its end, 0 where flat. The sides are `side_neck_mm` deep at the neck and
    `side_tail_mm` at the tail. A cutaway is `cutaway_depth_mm` deep, 0 for none, reaches
    `cutaway_length_mm` down from the neck joint, and its horn is rounded to `cutaway_round_mm`, or
    pointed at 0. The scale of the treble is `fan_mm` shorter than `scale_mm`, 0 for straight frets,
    and fret `square_fret` is square to the centre line. An outline traced from a photograph may
    be off by `outline_doubt_mm` in its widths, None where nobody knows; else that is 0.
    """

    kind: str
    name: str
    family: str
    strings: int
    courses: int
    wound: int
    gauges_mm: tuple[float, ...]
    scale_mm: float
    frets: int
    frets_to_body: int
    nut_mm: float
    twelfth_mm: float
    nut_spread_mm: float
    beyond_mm: float
    radius_mm: float
    radius_end_mm: float
    side_neck_mm: float
    side_tail_mm: float
    binding_mm: float
    purfling_mm: float
    outline: Stations
    hole: Hole
    bridge: Bridge
    head: Head
    parts: tuple[PresetPart, ...]
    cutaway_depth_mm: float = 0.0
    cutaway_length_mm: float = 90.0
    cutaway_round_mm: float = 18.0
    fan_mm: float = 0.0
    square_fret: int = 7
    outline_doubt_mm: float | None = 0.0

    @cached_property  # asked some 200 times for a page
    def fretboard(self) -> Fretboard:
        """The board along its centre line, where the scale is the mean of bass and treble."""
        return Fretboard(
            self.scale_mm - self.fan_mm / 2,
            self.frets,
            self.nut_mm,
            self.twelfth_mm,
            self.beyond_mm,
            self.radius_mm,
            self.radius_end_mm,
        )

    @cached_property
    def nut_y(self) -> float:
        """The nut's place on the drawing, whose y runs down from the neck joint: below 0."""
        return -self.fretboard.fret_mm(self.frets_to_body)

    @property
    def body_mm(self) -> float:
        """Length of the body from neck joint to tail."""
        return self.outline[-1][0]

    @property
    def width_mm(self) -> float:
        """The body at its widest."""
        return 2 * max(half for _, half in self.outline)

    def part(self, role: str) -> PresetPart:
        """The part of that role.

        Raises
        ------
        InputError
            If this instrument has none.
        """
        for part in self.parts:
            if part.role == role:
                return part
        known = ", ".join(part.role for part in self.parts)
        raise InputError.at(
            "role", f"{self.name} has no part called {quoted(role)}. Its parts are: {known}."
        )


@cache
def preset(kind: str) -> Preset:
    """The preset of that kind.

    Raises
    ------
    InputError
        For an unknown kind; the message names the known ones.
    """
    known = dict(presets())
    if kind not in known:
        raise InputError.at(
            "kind",
            f"{quoted(kind)} is not a kind of instrument this program can draw. "
            f"Choose one of: {', '.join(known)}.",
        )
    return _read(kind)


@cache
def presets() -> tuple[tuple[str, str], ...]:
    """(kind, name) of every preset, guitars first."""
    found = [
        _read(entry.name.removesuffix(".toml"))
        for entry in files(__package__).joinpath("presets").iterdir()
        if entry.name.endswith(".toml")
    ]
    found.sort(key=lambda one: (one.family != "guitar", one.name))
    return tuple((one.kind, one.name) for one in found)


def _read(kind: str) -> Preset:
    text = files(__package__).joinpath("presets", f"{kind}.toml").read_text(encoding="utf-8")
    return preset_from(kind, tomllib.loads(text))


def preset_from(kind: str, given: Mapping[str, Any]) -> Preset:
    """The preset that is written as the files in presets/ are, or as `data_of` gives it."""
    data = unchanging(dict(given))
    data["parts"] = tuple(PresetPart(**part) for part in data["parts"])
    for key, made in (("hole", Hole), ("bridge", Bridge), ("head", Head)):
        data[key] = made(**data[key])
    return Preset(kind=kind, **data)


def data_of(preset: Preset) -> dict[str, Any]:
    """All of a preset but its kind, as it can be written to JSON and read by `preset_from`."""
    data = asdict(preset)
    del data["kind"]
    return data
