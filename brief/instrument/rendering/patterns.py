"""Materials as SVG patterns: a photograph as it lies on its part, a colour, a hatch."""

from __future__ import annotations

from base64 import b64encode
from functools import cached_property
from xml.etree import ElementTree as ET

from brief.instrument.curve import number
from brief.instrument.rendering.fill import Box, Fill, Painted, laid_on
from brief.instrument.rendering.inks import INK, PAPER
from brief.instrument.rendering.photo_composite import composed
from brief.instrument.rendering.placement import Laid
from brief.letters import clean

STRETCHED = 0.5  # how fine a stretched photograph is composed, of others
ROUNDING = 0.05  # mm; lengths are written to a tenth


class Patterns:
    """The patterns of one canvas, in its `defs`; the canvas shows what lies in `box`.

    Every id starts with `prefix`. With `px_per_mm` a photograph that its fill holds is composed at
    that fineness and held; else it is linked.
    """

    def __init__(self, defs: ET.Element, prefix: str, box: Box, px_per_mm: float | None) -> None:
        self._defs = defs
        self._prefix = prefix
        self._box = box
        self._px_per_mm = px_per_mm

    def url(self, name: str) -> str:
        """What names something in the `defs` of this canvas."""
        return f"url(#{self._prefix}-{name})"

    def paint(self, role: str, fill: Fill, how: Painted) -> str:
        """The paint of a part in its material."""
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
            return self.url(role)
        # Of a photograph whose size nobody told all that is known is that it covers the part.
        turn = 90 if fill.lying == (how.grain == "up") else 0
        if how.matched:
            half = number(width / 2)
            for mirror in ("", "scale(-1 1)"):
                place = f"translate({half}){mirror}"
                photograph(pattern, fill, width / 2, height, turn=turn, transform=place)
        else:
            photograph(pattern, fill, width, height, turn=turn)
        return self.url(role)

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
        return self.url(role)

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
        board = self.url(f"{role}-board")
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

    @cached_property
    def hatch(self) -> str:
        """The paint of a part that is open."""
        pattern = self._pattern("open", (3, 3), "rotate(45)")
        _rectangle(pattern, 3, 3, PAPER)
        line = {"d": "M0 0V3", "stroke": INK, "stroke-width": "0.7", "stroke-opacity": "0.5"}
        ET.SubElement(pattern, "path", line)
        return self.url("open")

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


def _rectangle(parent: ET.Element, width: float, height: float, colour: str) -> None:
    ET.SubElement(
        parent, "rect", {"width": number(width), "height": number(height), "fill": colour}
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
