"""How much a surface shines, by its finish and its kind of material.

The figures are those of a picture, not of a measurement: what a finish does to the light depends on
who rubbed it, and how long (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from brief.wood.matching import finishes_in, words_of

Gloss = Literal["bare", "oil", "satin", "gloss"]

SAID: dict[str, Gloss] = {
    "matt": "satin",
    "matte": "satin",
    "flat": "satin",
    "satin": "satin",
    "semi": "satin",
    "semigloss": "satin",
    "gloss": "gloss",
    "glossy": "gloss",
    "unpolished": "bare",
}
THIN = ("drying oil", "wax")
NO_COAT = ("none", "harsh stain or bleach", "stain or dye", "hot glue")


@dataclass(frozen=True)
class Shine:
    """How a surface throws light back, each 0 to 1.

    rough : how wide it spreads a reflection. metal : whether all of its light is a reflection.
    coat, coat_rough : a clear coat over it, and how wide that spreads one.
    """

    rough: float
    metal: float = 0.0
    coat: float = 0.0
    coat_rough: float = 0.0


BY_GLOSS: dict[Gloss, Shine] = {
    "bare": Shine(0.85),
    "oil": Shine(0.6),
    "satin": Shine(0.6, coat=0.7, coat_rough=0.4),
    "gloss": Shine(0.6, coat=1.0, coat_rough=0.08),
}
BY_STUFF: dict[str, Shine] = {
    "metal": Shine(0.3, metal=1.0),
    "shell": Shine(0.25, coat=0.6, coat_rough=0.1),
    "stone": Shine(0.3),
    "bone": Shine(0.4),
    "horn": Shine(0.35),
    "antler": Shine(0.45),
    "coral": Shine(0.4),
    "celluloid": Shine(0.25),
    "plastic": Shine(0.3),
}


def gloss_of(finish: str) -> Gloss:
    """What a finish as it was typed comes to: a word for its gloss goes before its kind.

    >>> [gloss_of(text) for text in ("French polish", "Nitro, rubbed to satin", "One wipe of oil")]
    ['gloss', 'satin', 'oil']
    """
    said = [SAID[word] for word in words_of(finish) if word in SAID]
    if said:
        return "satin" if "satin" in said else said[0]  # semi-gloss is no gloss
    kinds = {one.name for one in finishes_in(finish)} - {*NO_COAT}
    if kinds - {*THIN}:
        return "gloss"
    return "oil" if kinds else "bare"


def shine_of(stuff: str, finish: str, *, finished: bool) -> Shine:
    """How a piece of that kind of material shines. finished : whether its finish is on it yet.

    What is no wood has its own polish, whichever its finish.
    """
    return BY_STUFF.get(stuff) or BY_GLOSS[gloss_of(finish) if finished else "bare"]
