"""The canvas a drawing is made on: its SVG, its materials, and how an open part looks.

Only presentation attributes are used, never `style`, so that the drawing can stand inside a page
whose Content-Security-Policy forbids inline styles. Lengths are millimetres.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal
from xml.etree import ElementTree as ET

from brief.errors import ColourInputError, InputError, quoted
from brief.instrument.curve import number
from brief.instrument.rendering.photo_composite import composed
from brief.instrument.rendering.placement import MATCHED, WHOLE, Laid, Laying, lay
from brief.instrument.rendering.relief import Relief
from brief.letters import clean

INK = "#3b2f25"
HAIRLINE = {"stroke": INK, "stroke-width": "0.7", "vector-effect": "non-scaling-stroke"}
PAPER = "#fbf9f4"
METAL = "#bdb7a9"
BONE = "#e6dfce"
DARK = "#1c1612"
STRETCHED = 0.5  # how fine a stretched photograph is composed, of others
ROUNDING = 0.05  # mm; lengths are written to a tenth

Box = tuple[float, float, float, float]
"""x, y, width, height."""
Grain = Literal["up", "across"]
Shine = Literal["metal", "shell"]


@dataclass(frozen=True)
class Fill:
    """A part's material as it shows: a colour, and the photograph it was measured from.

    Attributes
    ----------
    colour : str
        "#rrggbb", seen where there is no photograph or while it loads.
    picture : str or None
        Address of the photograph.
    label : str
        The material's name, in the maker's words.
    picture_size : (int, int) or None
        Width and height in pixels; None means an upright photograph.
    size_mm : (float, float) or None
        Width and height of what the photograph shows, as it was taken; None where it has no scale,
        so that it is stretched to the part.
    grain_deg : float or None
        How its grain was measured to run, 0 up to 180 from the photograph's width; None where it
        has no one direction, so that it is taken to run along the longer side.
    laying : Laying or None
        How the maker has laid it; None leaves it to the part.
    jpeg : bytes or None
        The photograph itself, for a drawing that is to hold it instead of linking it.
    shine : str
        "metal" or "shell" where it is a photograph of one.
    play : tuple of str
        Four colours that it shows in turn under light and shadow; none: it is plain.

    Raises
    ------
    ColourInputError
        For any other notation of the colour.
    """

    colour: str
    picture: str | None
    label: str
    picture_size: tuple[int, int] | None = None
    size_mm: tuple[float, float] | None = None
    grain_deg: float | None = None
    laying: Laying | None = None
    jpeg: bytes | None = None
    shine: Shine | None = None
    play: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not re.fullmatch("#[0-9a-fA-F]{6}", self.colour):
            raise ColourInputError.at(
                "colour",
                f"a colour is written #rrggbb, such as #a0522d; got {quoted(self.colour)}.",
            )

    @property
    def lying(self) -> bool:
        """Whether the grain runs along the width of its picture rather than its height."""
        if self.grain_deg is not None:
            return abs(self.grain_deg - 90) > 45
        return self.picture_size is not None and self.picture_size[0] > self.picture_size[1]


@dataclass(frozen=True)
class Painted:
    """How a part was painted: where it lies on its drawing, mm, and as `SvgCanvas.paint` says."""

    box: Box
    grain: Grain = "up"
    matched: bool = False
    bent: bool = False


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
        self._box = box
        self._px_per_mm = px_per_mm
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
        self._paints[role] = self._paint(role, self.painted[role])
        return self._paints[role]

    def _paint(self, role: str, how: Painted) -> str:
        if self._only not in (None, role):
            return PAPER
        fill = self._fills.get(role)
        if fill is None:
            return self._hatch
        if fill.picture is None:
            return fill.colour
        box = how.box
        x, y, width, height = box
        laid = laid_on(fill, box[2:], grain=how.grain, matched=how.matched, bent=how.bent)
        if laid is not None and fill.jpeg is not None and self._px_per_mm is not None:
            # Along a bent strip a photograph is stretched; it has no more to show than half of it.
            fine = self._px_per_mm * (STRETCHED if how.bent else 1.0)
            return self._composed(role, fill, laid, box, fine)
        pattern = self._pattern(role, box[2:], f"translate({number(x)} {number(y)})")
        _rectangle(pattern, width, height, fill.colour)
        if laid is not None:
            self._lay(pattern, role, fill, laid, (width, height))
            return self._url(role)
        # Of a photograph whose size nobody told all that is known is that it covers the part.
        turn = 90 if fill.lying == (how.grain == "up") else 0
        if how.matched:
            half = number(width / 2)
            for mirror in ("", "scale(-1 1)"):
                place = f"translate({half}){mirror}"
                photograph(pattern, fill, width / 2, height, turn=turn, transform=place)
        else:
            photograph(pattern, fill, width, height, turn=turn)
        return self._url(role)

    def _composed(self, role: str, fill: Fill, laid: Laid, box: Box, fine: float) -> str:
        """The part of a photograph's laying that the canvas shows, as one picture."""
        left, top = max(box[0], self._box[0]), max(box[1], self._box[1])
        right = min(box[0] + box[2], self._box[0] + self._box[2])
        low = min(box[1] + box[3], self._box[1] + self._box[3])
        if right <= left or low <= top:
            return fill.colour
        window = (left - box[0], top - box[1], right - left, low - top)
        held = composed(fill.jpeg or b"", laid, box[2], window, fine)
        place = f"translate({number(left)} {number(top)})"
        pattern = self._pattern(role, window[2:], place)
        size = {"width": number(window[2]), "height": number(window[3])}
        data = f"data:image/jpeg;base64,{b64encode(held).decode('ascii')}"
        ET.SubElement(pattern, "image", {"href": data, "preserveAspectRatio": "none"} | size)
        return self._url(role)

    def _lay(
        self, pattern: ET.Element, role: str, fill: Fill, laid: Laid, part: tuple[float, float]
    ) -> None:
        """A photograph that lies on a part at a place of its own, repeated where it ends."""
        start, end = laid.fills
        # A joint may be moved on the page, and then the board's edge comes into sight.
        reaches = laid.x <= start + ROUNDING and laid.x + laid.width >= end - ROUNDING
        sure = laid.other == "nothing" and reaches
        across = 1 if sure else 2
        down = 1 if laid.height >= part[1] - ROUNDING else 2
        if across == down == 1:
            place = f"translate({number(laid.x)} {number(laid.y)})"
            photograph(pattern, fill, laid.width, laid.height, turn=laid.turn, transform=place)
            return
        tile = self._pattern(
            f"{role}-board",
            (across * laid.width, down * laid.height),
            f"translate({number(laid.x)} {number(laid.y)})",
        )
        for row in range(down):
            for column in range(across):
                place = ""
                if row or column:
                    place = (
                        f"translate({number(2 * laid.width * column)} "
                        f"{number(2 * laid.height * row)})scale({1 - 2 * column} {1 - 2 * row})"
                    )
                photograph(tile, fill, laid.width, laid.height, turn=laid.turn, transform=place)
        board = self._url(f"{role}-board")
        places = {
            "nothing": [""],
            "mirrored": ["", f"translate({number(part[0])})scale(-1 1)"],
            "shifted": ["", f"translate({number(start - end)})"],
        }
        for place in places[laid.other]:
            half = {
                "x": number(start),
                "width": number(end - start),
                "height": number(part[1]),
                "fill": board,
            }
            ET.SubElement(pattern, "rect", half | ({"transform": place} if place else {}))

    def clip(self, name: str, path: str) -> dict[str, str]:
        """The attribute that keeps an element inside a closed path."""
        clip = ET.SubElement(self._defs, "clipPath", {"id": f"{self._prefix}-{name}"})
        ET.SubElement(clip, "path", {"d": path})
        return {"clip-path": self._url(name)}

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
        return self._url(name)

    def shine(self, parent: ET.Element, tag: str, shape: dict[str, str], role: str) -> None:
        """The play of light on a shape of a part that was drawn, if its material has any.

        `shape` has the width of its line where it is a band.
        """
        fill = self._fills.get(role)
        if fill and fill.shine and fill.play:
            self.relief.shine(parent, tag, shape, role, fill.shine, fill.play)

    def _open(self, role: str) -> bool:
        return role not in self._fills and self._only in (None, role)

    def _url(self, name: str) -> str:
        return f"url(#{self._prefix}-{name})"

    @cached_property
    def _hatch(self) -> str:
        pattern = self._pattern("open", (3, 3), "rotate(45)")
        _rectangle(pattern, 3, 3, PAPER)
        line = {"d": "M0 0V3", "stroke": INK, "stroke-width": "0.7", "stroke-opacity": "0.5"}
        ET.SubElement(pattern, "path", line)
        return self._url("open")

    def _pattern(self, name: str, size: tuple[float, float], transform: str) -> ET.Element:
        return ET.SubElement(
            self._defs,
            "pattern",
            {
                "id": f"{self._prefix}-{name}",
                "patternUnits": "userSpaceOnUse",
                "width": number(size[0]),
                "height": number(size[1]),
                "patternTransform": transform,
            },
        )


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


def _rectangle(parent: ET.Element, width: float, height: float, colour: str) -> None:
    ET.SubElement(
        parent, "rect", {"width": number(width), "height": number(height), "fill": colour}
    )


def laid_on(
    fill: Fill,
    part: tuple[float, float],
    *,
    grain: Grain = "up",
    matched: bool = False,
    bent: bool = False,
) -> Laid | None:
    """How its photograph lies on a part of that width and height, mm; `SvgCanvas.paint` says how.

    At its true size where it has one, else stretched. None if nothing is known of its size.
    """
    true_size = fill.size_mm is not None and not bent
    picture = fill.size_mm if true_size else fill.picture_size
    if picture is None:
        return None
    return lay(
        fill.laying or (MATCHED if matched else WHOLE),
        part,
        picture,
        sideways=fill.lying == (grain == "up"),
        true_size=true_size,
    )


def photograph(
    parent: ET.Element,
    fill: Fill,
    width: float,
    height: float,
    *,
    turn: int = 0,
    transform: str = "",
) -> None:
    """The photograph covering a width and height, turned clockwise by quarters of 90."""
    corner = {
        90: f"translate({number(width)})rotate(90)",
        180: f"translate({number(width)} {number(height)})rotate(180)",
        270: f"translate(0 {number(height)})rotate(270)",
    }
    transform += corner.get(turn, "")
    if turn % 180:
        width, height = height, width
    image = ET.SubElement(
        parent,
        "image",
        {
            "href": clean(fill.picture or ""),
            "width": number(width),
            "height": number(height),
            "preserveAspectRatio": "xMidYMid slice",
        },
    )
    if transform:
        image.set("transform", transform)
