"""What is kept of a drawing: outlines, and remarks in words."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from brief.instrument.curve import Point
from brief.instrument.inlay.svg.transforms import Matrix


@dataclass(frozen=True)
class Run:
    """One subpath: its start, and straight (one point) or cubic (three points) steps from there."""

    start: Point
    steps: tuple[tuple[Point, ...], ...]
    closed: bool


@dataclass(frozen=True)
class Outline:
    """One drawn shape in the units of its element; `matrix` takes it to millimetres.

    Attributes
    ----------
    fill
        "stuff", "white" (drawn over others to cut them out) or "none".
    stroke_width
        In the same units, 0 for none.
    white_line
        Whether the line cuts out, too.
    cap, join, mitre
        As SVG has them.
    """

    runs: tuple[Run, ...]
    matrix: Matrix
    fill: Literal["stuff", "white", "none"]
    even_odd: bool = False
    stroke_width: float = 0.0
    cap: str = "butt"
    join: str = "miter"
    mitre: float = 4.0
    white_line: bool = False


@dataclass
class Drawn:
    """What a file draws, and what was made of it in words."""

    outlines: list[Outline] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def remark(self, said: str) -> None:
        """Note something about the file, once."""
        if said not in self.remarks:
            self.remarks.append(said)
