"""The shapes of SVG as path data (SVG 2, chapter 10)."""

from __future__ import annotations

import math
from collections.abc import Mapping

from brief.instrument.inlay.svg.units import length

SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")


def shape_data(name: str, attributes: Mapping[str, str], view: tuple[float, float]) -> str:
    """The path data of one of `SHAPES`; empty if nothing is drawn of it.

    Parameters
    ----------
    name, attributes
        Those of its tag.
    view
        Width and height that percentages are of.
    """
    if name == "path":
        return attributes.get("d", "").strip()
    if name in ("polygon", "polyline"):
        points = attributes.get("points", "").strip()
        return f"M{points}{'Z' if name == 'polygon' else ''}" if points else ""
    across, down = view

    def at(key: str) -> float:
        of = across if key in ("x", "x1", "x2", "cx", "width", "rx") else down
        return length(attributes.get(key, "0"), math.hypot(*view) if key == "r" else of)

    if name == "line":
        return f"M{at('x1')!r} {at('y1')!r} L{at('x2')!r} {at('y2')!r}"
    if name == "rect":
        x, y, wide, tall = (at(key) for key in ("x", "y", "width", "height"))
        return _rectangle(x, y, wide, tall, at("rx") or at("ry"), at("ry") or at("rx"))
    rx, ry = (at("r"), at("r")) if name == "circle" else (at("rx"), at("ry"))
    if rx <= 0 or ry <= 0:
        return ""
    half = f"a{rx!r} {ry!r} 0 1 1"
    return f"M{at('cx') - rx!r} {at('cy')!r} {half} {2 * rx!r} 0 {half} {-2 * rx!r} 0 Z"


def _rectangle(x: float, y: float, wide: float, tall: float, rx: float, ry: float) -> str:
    rx, ry = min(rx, wide / 2), min(ry, tall / 2)
    if wide <= 0 or tall <= 0:
        return ""
    if rx <= 0 or ry <= 0:
        return f"M{x!r} {y!r} h{wide!r} v{tall!r} h{-wide!r} Z"
    arcs = [
        f"a{rx!r} {ry!r} 0 0 1 {dx * rx!r} {dy * ry!r}"
        for dx, dy in ((1, 1), (-1, 1), (-1, -1), (1, -1))
    ]
    sides = (f"h{wide - 2 * rx!r}", f"v{tall - 2 * ry!r}")
    back = (f"h{2 * rx - wide!r}", f"v{2 * ry - tall!r}")
    steps = " ".join(f"{s} {a}" for s, a in zip((*sides, *back), arcs, strict=True))
    return f"M{x + rx!r} {y!r} {steps} Z"
