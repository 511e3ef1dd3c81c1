"""The canvas a drawing is made on: its SVG, its materials, and how an open part looks.

Only presentation attributes are used, never `style`, so that the drawing can stand inside a page
whose Content-Security-Policy forbids inline styles. Lengths are millimetres.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from xml.etree import ElementTree as ET

from brief.errors import InputError, quoted
from brief.instrument.curve import number
from brief.instrument.rendering.fill import Box, Fill, Grain, Painted
from brief.instrument.rendering.inks import DARK, HAIRLINE, PAPER
from brief.instrument.rendering.patterns import Patterns
from brief.instrument.rendering.relief import Relief
from brief.letters import clean


class SvgCanvas:
    """An SVG being drawn. Every id starts with `prefix`, so that several sheets share a page.

    With `only` all parts but that one are left as bare outlines. With `px_per_mm` the canvas holds
    the photographs that its fills hold, composed at that fineness; else it links them. `relief` is
    its light and shadow, which it has if `shaded`.

    Raises
    ------
    InputError
        If `prefix` is not a letter followed by letters, digits, - or _.
    """

    def __init__(
        self,
        fills: Mapping[str, Fill],
        *,
        prefix: str,
        box: Box,
        only: str | None = None,
        px_per_mm: float | None = None,
        shaded: bool = False,
    ) -> None:
        if not re.fullmatch("[A-Za-z][A-Za-z0-9_-]*", prefix):
            raise InputError.at(
                "prefix",
                "the prefix of a drawing's ids is a letter, then letters, digits, - or _; "
                f"got {quoted(prefix)}.",
            )
        self._fills = fills
        self._prefix = prefix
        self._only = only
        self._paints: dict[str, str] = {}
        self.painted: dict[str, Painted] = {}
        self.root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "id": prefix,  # a page shows pieces of it by `use`
                "viewBox": " ".join(number(side) for side in box),
                "role": "img",
            },
        )
        self._defs = ET.SubElement(self.root, "defs")
        self._patterns = Patterns(self._defs, prefix, box, px_per_mm)
        self.relief = Relief(self, on=shaded and only is None, px_per_mm=px_per_mm)

    def text(self, label: str) -> str:
        """The canvas as SVG, with `label` for those who do not see it."""
        self.root.set("aria-label", clean(label))
        for group in self.root.iter("g"):
            # What of a part is painted in its material, so that another can be tried in its place.
            if paint := self._paints.get(group.get("data-role", "")):
                group.set("data-paint", paint)
        return ET.tostring(self.root, encoding="unicode")

    @property
    def patterns(self) -> str:
        """The patterns and whatever else the paints name, as SVG by itself."""
        return ET.tostring(self._defs, encoding="unicode")

    @property
    def dark(self) -> str:
        """The colour of what is open to the inside; paper where only outlines are wanted."""
        return PAPER if self._only else DARK

    def has(self, role: str) -> bool:
        """Whether that role shows a material."""
        return role in self._fills and self._only in (None, role)

    def jointed(self, role: str) -> bool:
        """Whether a part that is opened in halves shows a joint: not one laid in one piece."""
        fill = self._fills.get(role)
        return fill is None or fill.laying is None or fill.laying.halves

    def part(self, role: str, name: str, *, within: ET.Element | None = None) -> ET.Element:
        """A group for a part, which pages find by `data-role`; in another group if `within` one."""
        fill = self._fills.get(role)
        parent = self.root if within is None else within
        group = ET.SubElement(parent, "g", {"class": f"part part-{role}", "data-role": role})
        if fill is None:
            group.set("data-open", "true")
        title = ET.SubElement(group, "title")
        title.text = clean(f"{name}: {fill.label if fill else 'still open'}")
        return group

    def edge(self, role: str) -> dict[str, str]:
        """A hairline in ink, dashed while the part is open; the same width at any size."""
        return HAIRLINE | ({"stroke-dasharray": "3 2"} if self._open(role) else {})

    def paint(
        self,
        role: str,
        box: Box,
        *,
        grain: Grain = "up",
        matched: bool = False,
        bent: bool = False,
    ) -> str:
        """The paint of a part that lies in `box`: its photograph, its colour, or a hatch.

        `grain` is how the part's grain runs on the canvas. `matched` mirrors one photograph at
        the middle of the box, as the two halves of a board are opened. `bent` is a strip that
        follows an edge, along which a photograph of it laid straight could not lie true.
        """
        self.painted[role] = Painted(box, grain, matched, bent)
        self._paints[role] = self._paint(role)
        return self._paints[role]

    def _paint(self, role: str) -> str:
        if self._only not in (None, role):
            return PAPER
        fill = self._fills.get(role)
        if fill is None:
            return self._patterns.hatch
        return self._patterns.paint(role, fill, self.painted[role])

    def clip(self, name: str, path: str) -> dict[str, str]:
        """The attribute that keeps an element inside a closed path."""
        clip = ET.SubElement(self._defs, "clipPath", {"id": f"{self._prefix}-{name}"})
        ET.SubElement(clip, "path", {"d": path})
        return {"clip-path": self._patterns.url(name)}

    def gradient(
        self,
        name: str,
        line: Box,
        stops: Sequence[tuple[float, str, float]],
        *,
        on_drawing: bool = False,
    ) -> str:
        """A paint that changes along a line (x1, y1, x2, y2), in shares of what it is laid on.

        `stops` are the share of the line, colour and opacity of each. With `on_drawing` the line is
        one on the drawing, mm, and the paint goes on there and back.
        """
        ends = zip(("x1", "y1", "x2", "y2"), line, strict=True)
        ident = {"id": f"{self._prefix}-{name}"}
        if on_drawing:
            ident |= {"gradientUnits": "userSpaceOnUse", "spreadMethod": "reflect"}
        gradient = ET.SubElement(
            self._defs, "linearGradient", ident | {end: f"{at:g}" for end, at in ends}
        )
        for offset, colour, opacity in stops:
            ET.SubElement(
                gradient,
                "stop",
                {
                    "offset": f"{offset:.2g}",
                    "stop-color": colour,
                    "stop-opacity": f"{opacity:.2g}",
                },
            )
        return self._patterns.url(name)

    def shine(self, parent: ET.Element, tag: str, shape: dict[str, str], role: str) -> None:
        """The play of light on a shape of a part that was drawn, if its material has any.

        `shape` has the width of its line where it is a band.
        """
        fill = self._fills.get(role)
        if fill and fill.shine and fill.play:
            self.relief.shine(parent, tag, shape, role, fill.shine, fill.play)

    def _open(self, role: str) -> bool:
        return role not in self._fills and self._only in (None, role)


def paint_alone(fill: Fill | None, role: str, how: Painted, *, prefix: str) -> tuple[str, str]:
    """The paint of one part without its drawing: the patterns that it names, as SVG, and itself.

    fill : None where the part is open. how : as the drawing painted the part.
    """
    fills = {} if fill is None else {role: fill}
    canvas = SvgCanvas(fills, prefix=prefix, box=how.box)
    paint = canvas.paint(role, how.box, grain=how.grain, matched=how.matched, bent=how.bent)
    return canvas.patterns, paint


def in_words(title: str, shown: Mapping[str, str], fills: Mapping[str, Fill]) -> str:
    """What a drawing shows, for those who do not see it; `shown` names the parts by role."""
    filled = [f"{name} {fills[role].label}" for role, name in shown.items() if role in fills]
    still = [name for role, name in shown.items() if role not in fills]
    pieces = [", ".join(filled)] if filled else []
    if still:
        pieces.append(f"{', '.join(still)} still open")
    return f"{title}: {'; '.join(pieces)}"
