"""Colours with names, as a style sheet and as a strip of bars."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, count
from xml.etree import ElementTree as ET

from brief.colour.notation.adaptation import Lab
from brief.colour.notation.notation import Notation, notations
from brief.colour.notation.wording import percent
from brief.errors import ColourInputError
from brief.letters import one_line

# Of the strip, in its own units, which are pixels until somebody scales it.
LONG, BAR, DISC, MARGIN = 700.0, 96.0, 48.0, 12.0
TITLE_PX, NAME_PX, ROW = 18.0, 13.0, 20.0
LETTER = 0.54  # of its size is the width of a letter, on the wide side for a sans serif
INK, SOFT = "#26221d", "#645c51"


@dataclass(frozen=True)
class NamedColour:
    """One colour: lab is CIELAB, D65 / 2°; share is its part of the whole, 0 to 1, if known.

    is_accent : a small colour beside those whose shares make the whole.
    """

    name: str
    lab: Lab
    share: float | None = None
    is_accent: bool = False

    @property
    def notation(self) -> Notation:
        """Its colour in every notation."""
        return notations(self.lab)

    @property
    def share_words(self) -> str:
        """Such as "31 %", "accent, 0.1 %", or nothing."""
        if self.share is None:
            return ""
        return f"accent, {percent(self.share, 1)}" if self.is_accent else percent(self.share)


def as_css(title: str, colours: Sequence[NamedColour]) -> str:
    """The colours as CSS custom properties: `lab()` where it is known, hex codes elsewhere.

    A custom property takes any text, so that a browser which knows no `lab()` would not fall back
    by itself: hence `@supports`. Raises ColourInputError if there are no colours.
    """
    named = list(zip(_properties(colours), colours, strict=True))
    fallbacks = [
        f"  --{name}: {one.notation.hex};  /* {_comment(_label(one))} */" for name, one in named
    ]
    exact = [f"    --{name}: {one.notation.css};" for name, one in named]
    return "\n".join(
        [
            f"/* {_comment(title)}",
            "   lab() is D50, as in CSS Color 4; hex codes are sRGB, as far as that goes. */",
            ":root {",
            *fallbacks,
            "}",
            "@supports (color: lab(0% 0 0)) {",
            "  :root {",
            *exact,
            "  }",
            "}",
            "",
        ]
    )


def as_svg(title: str, colours: Sequence[NamedColour]) -> str:
    """A strip of bars, as long as their colours' shares, with their names below; accents are
    discs behind it.

    Colours without shares are all as long. Raises ColourInputError if there are no colours.
    """
    bars = [one for one in _some(colours) if not one.is_accent]
    accents = [one for one in colours if one.is_accent]
    colours = [*bars, *accents]
    shares = [1.0 if one.share is None else one.share for one in bars]
    labels = [_label(one) for one in colours]
    ends = [LONG * sum(shares[: place + 1]) / sum(shares) for place in range(len(shares))]
    middles = [MARGIN + LONG + DISC * (place + 1) for place in range(len(accents))]
    lefts = [*(MARGIN + end for end in (0.0, *ends[:-1])), *middles]
    rows = _rows(lefts, labels)
    root = ET.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img"})
    ET.SubElement(root, "title").text = one_line(title)
    ET.SubElement(root, "desc").text = "; ".join(labels)
    drawn = ET.SubElement(root, "g", {"font-family": "sans-serif", "fill": INK})
    _text(drawn, MARGIN, MARGIN + TITLE_PX, TITLE_PX, one_line(title))
    top = MARGIN + 2 * TITLE_PX
    for one, left, end in zip(bars, lefts, ends, strict=False):
        sides = {"x": left, "y": top, "width": MARGIN + end - left, "height": BAR}
        placed = {name: f"{value:.3f}" for name, value in sides.items()}
        ET.SubElement(drawn, "rect", placed | {"fill": one.notation.hex})
    for one, middle in zip(accents, middles, strict=True):
        radius = 0.4 * DISC
        disc = {"cx": f"{middle:.3f}", "cy": f"{top + BAR - radius:g}", "r": f"{radius:g}"}
        ET.SubElement(drawn, "circle", disc | {"fill": one.notation.hex})
    for label, left, row in zip(labels, lefts, rows, strict=True):
        foot = top + BAR + ROW * (row + 1)
        line = f"M{left + 0.5:.3f} {top + BAR:g}V{foot + 3:g}"
        ET.SubElement(drawn, "path", {"d": line, "stroke": SOFT, "stroke-width": "1"})
        _text(drawn, left + 5, foot, NAME_PX, label)
    far = max(left + _wide(label) for left, label in zip(lefts, labels, strict=True))
    width = max(LONG + 2 * MARGIN, far + MARGIN, 2 * MARGIN + len(title) * TITLE_PX * LETTER)
    height = top + BAR + ROW * (max(rows) + 1) + MARGIN
    root.set("viewBox", f"0 0 {width:g} {height:g}")
    root.set("width", f"{width:g}")
    root.set("height", f"{height:g}")
    return ET.tostring(root, encoding="unicode") + "\n"


def _rows(lefts: Sequence[float], labels: Sequence[str]) -> list[int]:
    """For each name the row it stands in, so that no name lies on another or on its line up."""
    rows = [0] * len(lefts)
    for place in reversed(range(len(lefts))):
        far = lefts[place] + _wide(labels[place])
        under = [row for row, left in zip(rows, lefts, strict=True) if lefts[place] < left < far]
        rows[place] = max(under, default=-1) + 1
    return rows


def _wide(label: str) -> float:
    """How much room a name takes, from its line on."""
    return 5 + (len(label) + 1) * NAME_PX * LETTER


def _text(parent: ET.Element, x: float, y: float, size: float, words: str) -> None:
    where = {"x": f"{x:.3f}", "y": f"{y:g}", "font-size": f"{size:g}"}
    ET.SubElement(parent, "text", where).text = words


def _label(one: NamedColour) -> str:
    name = one_line(one.name)
    return f"{name}, {one.share_words}" if one.share_words else name


def _some(colours: Sequence[NamedColour]) -> Sequence[NamedColour]:
    if not colours:
        raise ColourInputError(
            "There is no colour to write yet: name one, or pull a palette out of a picture."
        )
    return colours


def _properties(colours: Sequence[NamedColour]) -> list[str]:
    """A name for each as CSS identifiers have it: letters and digits of any script, and hyphens."""
    names: list[str] = []
    for one in _some(colours):
        plain = re.sub(r"[\W_]+", "-", one.name.casefold()).strip("-") or "colour"
        others = (f"{plain}-{place}" for place in count(2))
        names.append(next(name for name in chain([plain], others) if name not in names))
    return names


def _comment(text: str) -> str:
    """The text as it can stand in a comment: it cannot end it."""
    return one_line(text).replace("*/", "* /")
