"""What a shape is painted with: the properties of its style that matter here."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal

from brief.instrument.inlay.svg.units import NUMBER

NEARLY_WHITE = 250  # of 255: some programs write #fefefe for white (from memory)
INHERITED = (
    "fill", "fill-opacity", "fill-rule", "stroke", "stroke-dasharray", "stroke-linecap",
    "stroke-linejoin", "stroke-miterlimit", "stroke-opacity", "stroke-width", "visibility",
)  # fmt: skip
STYLED = (*INHERITED, "display", "opacity", "clip-path", "mask")


def presented(attributes: Mapping[str, str]) -> dict[str, str]:
    """The style that a tag has as attributes (SVG 2, 6.6)."""
    known = {name: attributes[name].strip() for name in STYLED if name in attributes}
    return {name: value for name, value in known.items() if value != "inherit"}


def declared(body: str) -> dict[str, str]:
    """The style that a list of declarations says, as in a `style` attribute or a rule."""
    pairs = (one.split(":", 1) for one in body.split(";") if ":" in one)
    named = ((name.strip(), value.replace("!important", "").strip()) for name, value in pairs)
    known = (*STYLED, "transform")  # which as an attribute is read apart
    return {name: value for name, value in named if name in known and value != "inherit"}


def opaque(style: Mapping[str, str], name: str) -> bool:
    """Whether anything is to be seen, by an opacity."""
    given = style.get(name, "1").removesuffix("%").strip()
    return not (re.fullmatch(NUMBER, given) and float(given) <= 0)


def paint(colour: str) -> Literal["stuff", "white", "none"]:
    """What a colour stands for: stuff, a white that cuts out what lies below it, or nothing."""
    from PIL import ImageColor

    plain = colour.lower().replace(" ", "")
    if plain in ("none", "transparent"):
        return "none"
    try:
        *channels, opacity = ImageColor.getcolor(plain, "RGBA")  # type: ignore[misc]
    except ValueError:  # a gradient, currentColor, or a notation that it does not know
        return "stuff"
    if opacity == 0:
        return "none"
    return "white" if min(channels) >= NEARLY_WHITE else "stuff"
