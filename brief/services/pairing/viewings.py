"""Where a piece will be seen: the lamp, the distance, the brightness."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from brief.colour.viewing.distance import DISTANCES_M
from brief.colour.viewing.light import DAYLIGHT, Light, lamp, light, lights
from brief.errors import InputError
from brief.services.common.field_types import Columns, Draft, Fields, Id, Title, View, in_field
from brief.services.common.foreign_keys import check_pointers
from brief.services.common.noun import Noun, view_fields
from brief.services.common.typed_numbers import ALength, ANumber, Texts, briefly, texts_of
from brief.store.desk import Desk
from brief.store.records import Brief, Viewing

OWN_LAMP = "lamp"  # one of which only its colour and its colour rendering are known
# Lamps as people call them, each by a light of the CIE that is like it: common practice, no source.
PLAIN_LIGHTS = (
    ("A", "warm filament bulb"),
    ("LED-B1", "warm white LED"),
    ("LED-B3", "neutral white LED"),
    ("LED-B5", "cold white LED"),
    ("FL11", "fluorescent tube"),
    ("HP1", "sodium street lamp"),
)
DIM_LUX = 50.0  # below this eyes lose colour, which no figure here knows of; our working figure

Distance = Annotated[float, ALength(*DISTANCES_M, "10 ft", unit="m")]
Kelvin = Annotated[float, ANumber(0, 1e6, "3000 K", ("k",), "K")]
# As boxes have it: Ra 83, CRI 90, >80.
RA = (">", "≥", *(f"{name}{sign}" for name in ("ra", "cri") for sign in ("", ">", " >", "≥", " ≥")))
Rendering = Annotated[float, ANumber(0, 1000, "Ra 83", RA)]
Lux = Annotated[float, ANumber(0.01, 200_000, "150 lx", ("lx", "lux"), "lx")]


class ViewingDraft(Draft):
    """A viewing place as it is sent."""

    brief_id: Id
    name: Title = Field(examples=["the fair’s hall"])
    distance_m: Distance = Field(2.0, description="From the eye to the instrument, m")
    light: str = Field(
        DAYLIGHT.key,
        max_length=20,
        description="A CIE illuminant, or “lamp” for one known by its kelvin and rendering",
        examples=["LED-B3"],
    )
    kelvin: Kelvin | None = Field(
        None, description="Correlated colour temperature, for a lamp", examples=[3000]
    )
    rendering: Rendering | None = Field(
        None, description="Colour rendering index Ra, for a lamp", examples=[80]
    )
    lux: Lux | None = Field(
        None, description="How bright it is there; kept, and warned of where it is dim"
    )


class ViewingView(View):
    """A viewing place as it is shown."""

    brief_id: Id
    name: str
    distance_m: float
    as_typed: Texts
    light: str
    kelvin: float | None
    rendering: float | None
    lux: float | None
    light_words: str
    light_uncertainty: float = Field(
        description="CIEDE2000 by which this light may change a colour otherwise than foreseen"
    )
    words: str = Field(examples=["in the fair’s hall, from 2 m"])
    caution: str = Field(description="What no figure knows of; empty where there is nothing")


class Viewings(Noun[Viewing, ViewingView]):
    """Places where an instrument will be seen."""

    record, draft, view = Viewing, ViewingDraft, ViewingView
    settled = frozenset({"brief_id"})

    def settle(self, desk: Desk, fields: Fields, record: Viewing | None) -> Columns:
        """Check the light: a known one, or a lamp with its kelvin and Ra; see `Noun.settle`."""
        check_pointers(desk, fields, record, brief_id=Brief)
        asked = {
            name: fields[name] if name in fields else getattr(record, name)
            for name in ("light", "kelvin", "rendering")
        }
        if asked["light"] == OWN_LAMP:
            for name, what in (("kelvin", "colour temperature"), ("rendering", "Ra")):
                if asked[name] is None:
                    raise InputError.at(
                        name, f"Say the lamp’s {what}; it is printed on the lamp or its box."
                    )
            lamp(asked["kelvin"], asked["rendering"])
        else:
            for name in ("kelvin", "rendering"):
                if asked[name] is not None:
                    raise InputError.at(
                        name,
                        "This counts only for a lamp known by its kelvin and Ra: choose that as "
                        "its light, or leave this empty.",
                    )
            with in_field("light"):
                light(asked["light"])
        return dict(fields)

    def show(self, desk: Desk, record: Viewing) -> ViewingView:
        """The viewing place, with its light in words."""
        lit = light_of(record)
        return ViewingView(
            **view_fields(
                record, "brief_id", "name", "distance_m", "light", "kelvin", "rendering", "lux"
            ),
            as_typed=texts_of(record),
            light_words=lit.words,
            light_uncertainty=lit.uncertainty,
            words=words_of(record),
            caution=_caution(record.lux),
        )


def light_of(record: Viewing) -> Light:
    """The light of a viewing."""
    if record.light == OWN_LAMP and record.kelvin is not None and record.rendering is not None:
        return lamp(record.kelvin, record.rendering)
    return light(record.light)


def words_of(record: Viewing) -> str:
    """A viewing place in words that follow a verdict: “in the fair’s hall, from 2 m”."""
    return f"in {record.name}, from {briefly(record, 'distance_m')}"


def light_choices() -> dict[str, list[tuple[str, str]]]:
    """Every light that can be asked for, with its words, by group: those with a plain name first,
    and all others that the CIE has published last."""
    named = {DAYLIGHT.key, *(key for key, _ in PLAIN_LIGHTS)}
    return {
        "Usual": [
            (OWN_LAMP, "a lamp known by its kelvin and Ra"),
            (DAYLIGHT.key, DAYLIGHT.words),
            *((key, f"{words} ({light(key).kelvin:.0f} K)") for key, words in PLAIN_LIGHTS),
        ],
        "By its CIE name": [
            (one.key, f"{one.key}: {one.words}") for one in lights() if one.key not in named
        ],
    }


def _caution(lux: float | None) -> str:
    if lux is None or lux >= DIM_LUX:
        return ""
    return f"At {lux:g} lx eyes begin to lose colour; the verdicts do not allow for that."


viewings = Viewings()
