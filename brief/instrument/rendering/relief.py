"""Light and shadow on a drawing: what stands above throws a shadow, edges roll off, metal gleams.

The light comes from the upper left. All of it lies over or under the wood as shapes of its own, so
that flat wood where no shadow falls keeps the colour that was measured. A drawing without it, where
colours are compared, has none of these shapes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal, Protocol
from xml.etree import ElementTree as ET

from brief.instrument.curve import number

Stop = tuple[float, str, float]  # share of the way, colour, opacity
# How far a shadow falls for each millimetre of height, to the right and down; how soft its edge is,
# of that; how dark. As they look right, no source.
FALLS_RIGHT, FALLS_DOWN, SOFTNESS, DARKNESS = 0.45, 0.65, 0.7, 0.4
OF_A_LINE, OF_A_LINE_DARK = 0.2, 0.25  # how soft its shadow is, of its height, and how dark
LAYERS, LINE_LAYERS, ROLL_LAYERS, CLOSE_PX = 6, 3, 4, 4.0
ROLL_MM = 1.6  # of a rounded edge
LIT, SHADED = (0.0, "#fff", 0.14), (1.0, "#000", 0.14)  # of each layer of it
# Of a wound string: the light and the dark of a turn, of its gauge; how dark. As they look right.
TURN, TURN_DARK, SEEN_PX = 0.18, 0.4, 2.0
# Of what plays: how much over its photograph, and how far on the drawing from one end to the other.
SHELL, METAL, SHELL_MM, METAL_MM = 0.75, 0.75, (11.0, 7.0), (9.0, 14.0)
METAL_LIGHT: Sequence[Stop] = (
    (0.0, "#fff", 0.5),
    (0.3, "#fff", 0.0),
    (0.55, "#000", 0.05),
    (1.0, "#000", 0.45),
)


class DrawnOn(Protocol):
    """What is drawn on, as `SvgCanvas` has it."""

    root: ET.Element

    def gradient(
        self,
        name: str,
        line: tuple[float, float, float, float],
        stops: Sequence[Stop],
        *,
        on_drawing: bool = False,
    ) -> str:
        """A paint that changes along a line."""


class Relief:
    """The light and the shadow of one canvas; all of it does nothing unless `on`.

    px_per_mm : how fine the picture will be, where that is known.
    """

    def __init__(self, canvas: DrawnOn, *, on: bool, px_per_mm: float | None = None) -> None:
        self._canvas = canvas
        self.on = on
        self._px_per_mm = px_per_mm
        # Close by, the steps of a soft edge would show.
        self._steps = LAYERS * (2 if px_per_mm is not None and px_per_mm > CLOSE_PX else 1)
        self._paints: dict[str, str] = {}

    def cast(self, path: str, height_mm: float, on: ET.Element | None = None) -> None:
        """The shadow of a closed shape that stands so high, on what has been drawn so far.

        on : the group that it falls on, if it is not all of the drawing.
        """
        # The shadow of a lamp that is wider than a point: the shape, a little farther each time.
        # Only fills, since an opacity of fill and line together takes a sheet of its own.
        for farther, share in self._layers(self._steps, DARKNESS):
            shadows = self._shadows(height_mm * (1 + SOFTNESS * farther), on)
            ET.SubElement(shadows, "path", {"d": path, "fill": "#000", "fill-opacity": share})

    def cast_line(self, path: str, width_mm: float, height_mm: float) -> None:
        """The same of a line of that width."""
        for farther, share in self._layers(LINE_LAYERS, OF_A_LINE_DARK):
            soft = OF_A_LINE * height_mm * (farther + 0.5)
            wide = {"stroke-width": f"{width_mm + 2 * soft:.2f}", "stroke-opacity": share}
            line = {"d": path, "fill": "none", "stroke": "#000"} | wide
            ET.SubElement(self._shadows(height_mm), "path", line)

    def _layers(self, count: int, dark: float) -> Iterator[tuple[float, str]]:
        """Where each layer of a shadow is in its soft edge, −0.5 to 0.5, and how dark it is.

        A blur would look the same and take ten times as long.
        """
        share = 1 - (1 - dark) ** (1 / count)
        for layer in range(count if self.on else 0):
            yield layer / (count - 1) - 0.5, f"{share:.3f}"

    def _shadows(self, height_mm: float, on: ET.Element | None = None) -> ET.Element:
        right, down = FALLS_RIGHT * height_mm, FALLS_DOWN * height_mm
        place = {"transform": f"translate({number(right)} {number(down)})"}
        round_ = {"stroke-linejoin": "round", "pointer-events": "none"}
        return ET.SubElement(self._canvas.root if on is None else on, "g", place | round_)

    def roll(self, inside: ET.Element, path: str, wide_mm: float = ROLL_MM) -> None:
        """A rounded edge along an outline; `inside` is a group that is clipped to it."""
        if not self.on:
            return
        light = self._paint("roll", (LIT, (0.45, "#fff", 0.0), (0.6, "#000", 0.0), SHADED))
        for layer in range(1, ROLL_LAYERS + 1):
            wide = {"stroke": light, "stroke-width": number(2 * wide_mm * layer / ROLL_LAYERS)}
            rolled = {"d": path, "fill": "none", "pointer-events": "none"} | wide
            ET.SubElement(inside, "path", rolled)

    def turned_away(self, inside: ET.Element, path: str, wide_mm: float) -> None:
        """A round flank along a line, which turns from the light; `inside` is clipped to it."""
        for layer in range(1, ROLL_LAYERS + 1 if self.on else 1):
            wide = {"stroke-width": number(2 * wide_mm * layer / ROLL_LAYERS)}
            shade = {"stroke": "#000", "stroke-opacity": "0.1", "pointer-events": "none"}
            ET.SubElement(inside, "path", {"d": path, "fill": "none"} | shade | wide)

    def gleam(self, parent: ET.Element, tag: str, shape: dict[str, str]) -> None:
        """Light on a thing of metal, bone or a polished button: over it, of its own shape."""
        if self.on:
            light = {"fill": self._paint("gleam", METAL_LIGHT), "pointer-events": "none"}
            ET.SubElement(parent, tag, shape | light)

    def shine(
        self,
        parent: ET.Element,
        tag: str,
        shape: dict[str, str],
        role: str,
        kind: Literal["metal", "shell"],
        play: Sequence[str],
    ) -> None:
        """How metal or shell plays in the light, over it, in the four colours of its photograph."""
        if not self.on:
            return
        if role not in self._paints:
            light, one, dark, other = play
            colours: tuple[str, ...]
            if kind == "shell":
                colours, strength, line = (light, one, dark, other, light), SHELL, SHELL_MM
            else:
                colours, strength, line = (dark, light, light, dark), METAL, METAL_MM
            # Between two colours its photograph is seen as it is.
            stops: list[Stop] = []
            for i, colour in enumerate(colours):
                at = i / (len(colours) - 1)
                stops.append((at, colour, strength))
                if i + 1 < len(colours):
                    stops.append((at + 0.5 / (len(colours) - 1), colour, 0.0))
            ends = (0.0, 0.0, line[0], line[1])
            paint = self._canvas.gradient(f"play-{role}", ends, stops, on_drawing=True)
            self._paints[role] = paint
        paint = self._paints[role]
        band = "stroke-width" in shape
        look = {"fill": "none", "stroke": paint} if band else {"fill": paint}
        ET.SubElement(parent, tag, shape | look | {"pointer-events": "none"})

    def cut(self, path: str, width_mm: float) -> None:
        """A slot that is sawn along a line."""
        if self.on:
            line = {"d": path, "stroke": "#1c1612", "stroke-opacity": "0.75"}
            width = {"stroke-width": f"{width_mm:.2f}", "pointer-events": "none"}
            ET.SubElement(self._canvas.root, "path", line | width)

    def bevel(self, path: str, width_mm: float) -> None:
        """An edge that turns away from the light, along a line."""
        if self.on:
            line = {"d": path, "fill": "none", "stroke": "#000", "stroke-opacity": "0.3"}
            width = {"stroke-width": f"{width_mm:.2f}", "pointer-events": "none"}
            ET.SubElement(self._canvas.root, "path", line | width)

    def wire(self, parent: ET.Element, path: str, width_mm: float) -> None:
        """Light along a wire that was drawn; `parent` holds it."""
        if self.on:
            place = f"translate({number(-width_mm / 5)} {number(-width_mm / 5)})"
            light = {
                "stroke": "#fff",
                "stroke-opacity": "0.7",
                "stroke-width": f"{width_mm * 0.3:.2f}",
            }
            ET.SubElement(parent, "path", {"d": path, "fill": "none", "transform": place} | light)

    def winding(self, parent: ET.Element, path: str, gauge_mm: float) -> None:
        """The turns of a wound string; their mean, where a picture is too coarse to show them."""
        if not self.on:
            return
        turn = gauge_mm * TURN
        line = {"d": path, "fill": "none", "stroke": "#2a2418", "stroke-width": f"{gauge_mm:.2f}"}
        if self._px_per_mm is not None and 2 * turn * self._px_per_mm < SEEN_PX:
            dark = {"stroke-opacity": f"{TURN_DARK / 2:g}"}
        else:
            dark = {
                "stroke-opacity": f"{TURN_DARK:g}",
                "stroke-dasharray": f"{turn:.2f} {turn:.2f}",
            }
        ET.SubElement(parent, "path", line | dark)

    def depth(self, centre_y: float, radius: float, thick_mm: float) -> None:
        """A round hole that was drawn dark: the back below it, lit through it, and its rim."""
        if not self.on:
            return
        circle = {"cy": number(centre_y), "fill": "none", "pointer-events": "none"}
        far = (0.35, "#000", 0.0), (1.0, "#8a6a48", 0.34)
        inner = circle | {"r": number(radius), "fill": self._paint("inside", far)}
        ET.SubElement(self._canvas.root, "circle", inner)
        edge = {"r": number(radius - thick_mm / 2)}
        self.rim(self._canvas.root, "circle", circle | edge, thick_mm)

    def rim(self, parent: ET.Element, tag: str, shape: dict[str, str], thick_mm: float) -> None:
        """The wall of what was cut through, along a shape that is half as far in as it is thick."""
        if self.on:
            wall = (0.0, "#000", 0.5), (0.5, "#000", 0.15), (1.0, "#e9cda6", 0.75)
            lit = {"stroke": self._paint("rim", wall), "stroke-width": number(thick_mm)}
            ET.SubElement(parent, tag, shape | lit | {"fill": "none", "pointer-events": "none"})

    def _paint(self, name: str, stops: Sequence[Stop]) -> str:
        if name not in self._paints:
            self._paints[name] = self._canvas.gradient(name, (0.15, 0, 0.85, 1), stops)
        return self._paints[name]
