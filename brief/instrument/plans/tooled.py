"""A plan as a tool runs: its middle beside the lines, by half of what it takes away.

A tool that is as wide as its cut (a router bit, a beam with its kerf) keeps to the side of the line
where the waste is: outside a part that is cut through, inside a hole, a pocket and a channel. Where
one part is let into another, the bed is made larger by the gap on all sides. Finished edges stay as
lines to read. Offsets are Shapely's (GEOS).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, get_args

from brief.errors import InputError, quoted
from brief.instrument.curve import Point
from brief.instrument.inlay.widths import thinnest
from brief.instrument.plans.draughting import millimetres
from brief.instrument.plans.plan import Circle, Layer, Line, Plan, Shape

WIDEST_MM, MOST_GAP_MM = 12.0, 1.0
ROUND_STEPS = 32  # chords to a quarter turn round a corner; DXF makes arcs of them again
SAME_MM = 1e-3
MEASURED_MM = 0.02  # by which a width that was measured may be off
Cuts = Literal["all", "through", "let in"]
CUTS: dict[Cuts, tuple[Layer, ...]] = {
    "all": ("cut through", "hole", "pocket", "channel"),
    "through": ("cut through", "hole"),
    "let in": ("pocket", "channel"),
}
"""What one tool does at once: what goes through and what is let in often take two."""


@dataclass(frozen=True)
class Tool:
    """What cuts: a bit or a beam.

    `wide_mm` is its diameter or its kerf, 0 for the lines as they are drawn; `gap_mm` is left round
    whatever is let in, on each side; `cuts` is what it does.
    """

    wide_mm: float = 0.0
    gap_mm: float = 0.0
    cuts: Cuts = "all"


def tooled(plan: Plan, tool: Tool) -> Plan:
    """The plan with the tool's way, and the finished edges among the lines to read.

    It is the plan itself for a tool and a gap of 0.

    Raises
    ------
    InputError
        At "tool_mm", "gap_mm" or "cuts", where it is out of range, or the tool is wider than a
        place that it must pass: which, how narrow, and what to do.
    """
    for name, said, given, most in (
        ("tool_mm", "width of the cut", tool.wide_mm, WIDEST_MM),
        ("gap_mm", "gap", tool.gap_mm, MOST_GAP_MM),
    ):
        if not 0 <= given <= most:
            raise InputError.at(
                name, f"The {said} is 0 to {most:g} mm; got {given:g}. Give it in mm."
            )
    if tool.cuts not in CUTS:
        raise InputError.at(
            "cuts", f"What is cut is one of {', '.join(get_args(Cuts))}; got {quoted(tool.cuts)}."
        )
    if tool == Tool():
        return plan
    shapes: list[Shape] = []
    for layer in dict.fromkeys(shape.layer for shape in plan.drawing):
        those = [shape for shape in plan.drawing if shape.layer == layer]
        if layer in CUTS[tool.cuts]:
            shapes += _way(plan.sheet, layer, those, tool)
        elif layer in CUTS["all"]:  # another tool's
            shapes += [replace(shape, layer="reference") for shape in those]
        else:
            shapes += those
    return replace(plan, drawing=tuple(shapes))


def in_words(tool: Tool) -> list[str]:
    """What a tooled plan's reader must know, a sentence each; none for a tool and a gap of 0."""
    said: list[str] = []
    if tool.wide_mm:
        half = millimetres(tool.wide_mm / 2)
        said = [
            f"For a cut {millimetres(tool.wide_mm)} mm wide: lines to cut through lie {half} mm "
            f"outside the finished edge; holes, pockets and channels {half} mm inside it. Set no "
            "offset in your machine as well.",
            f"Inner corners come out round, {half} mm or more. Slots and marks: the tool follows "
            "the line.",
        ]
    if tool.cuts != "all":
        other = "what is let in" if tool.cuts == "through" else "what goes through"
        said.append(f"For another tool, and only to read here: {other}.")
    if tool.gap_mm and tool.cuts != "through":
        said.append(
            f"Pockets are {millimetres(tool.gap_mm)} mm larger than their pieces on every side."
        )
    return said


def _way(sheet: str, layer: Layer, shapes: Sequence[Shape], tool: Tool) -> Iterator[Shape]:
    """The lines of one layer moved to the side of the waste, and as they were, to read."""
    closed = [(shape, _ground(shape)) for shape in shapes if _is_closed(shape)]
    yield from (shape for shape in shapes if not _is_closed(shape))
    gap = tool.gap_mm if layer == "pocket" else 0.0
    outwards = 1.0 if layer == "cut through" else -1.0
    _check(sheet, layer, [ground for _, ground in closed], tool, gap)
    for shape, ground in closed:
        # Of nested lines every other one is the edge of an island, or of a hole.
        within = sum(
            other is not ground and other.contains(ground.representative_point())
            and other.area > ground.area
            for _, other in closed
        )  # fmt: skip
        outer = 1.0 if within % 2 == 0 else -1.0
        by = outer * (outwards * tool.wide_mm / 2 + gap)
        yield from _moved(shape, ground, by)
        if tool.wide_mm:
            yield replace(shape, layer="reference")


def _check(sheet: str, layer: Layer, grounds: Sequence[Any], tool: Tool, gap_mm: float) -> None:
    """Raise InputError where the tool is wider than where it must pass."""
    if not tool.wide_mm or not grounds:
        return
    import shapely

    # The same line twice, as of two inlays in one place, encloses what it does once.
    once = {shapely.normalize(ground).wkb: ground for ground in grounds}.values()
    whole: Any = shapely.MultiPolygon()
    for ground in sorted(once, key=lambda one: -one.area):
        whole = whole.symmetric_difference(ground)
    parts = [one for one in getattr(whole, "geoms", [whole]) if one.area > 0]
    if not parts:  # as of a line and of two that halve what it encloses
        return
    found = thinnest(shapely.MultiPolygon(parts))
    narrow = found[1] if layer == "cut through" else found[0]
    if narrow is None or tool.wide_mm <= narrow.width_mm + 2 * gap_mm + MEASURED_MM:
        return
    room = max(0.0, narrow.width_mm + 2 * gap_mm)
    where = "between two edges to cut" if layer == "cut through" else f"in a {layer}"
    both = tool.cuts == "all" and layer not in CUTS["through"]
    raise InputError.at(
        "tool_mm",
        f"{sheet}: a cut {millimetres(tool.wide_mm)} mm wide does not fit where there are only "
        f"{millimetres(room)} mm {where}. Take a thinner tool, or make the place wider"
        + (", or cut only what goes through with this one." if both else "."),
    )


def _is_closed(shape: Shape) -> bool:
    return isinstance(shape, Circle) or (isinstance(shape, Line) and shape.closed)


def _ground(shape: Shape) -> Any:
    """What a closed shape encloses, as Shapely's polygon."""
    import shapely

    if isinstance(shape, Circle):
        return shapely.Point(shape.middle).buffer(shape.radius_mm, quad_segs=64)
    assert isinstance(shape, Line)  # a caller's slip: only closed shapes come here
    return shapely.Polygon(shape.points)


def _moved(shape: Shape, ground: Any, by: float) -> Iterator[Shape]:
    """The edge of a closed shape moved outwards, or inwards where `by` is below 0; mm."""
    if isinstance(shape, Circle):
        yield replace(shape, radius_mm=max(SAME_MM, shape.radius_mm + by))
        return
    # A place exactly as wide as the tool would be left without a way by rounding alone.
    moved = ground.buffer(by, quad_segs=ROUND_STEPS)
    if moved.is_empty:
        moved = ground.buffer(by + MEASURED_MM / 2, quad_segs=ROUND_STEPS)
    for piece in getattr(moved, "geoms", [moved]):
        for ring in (piece.exterior, *piece.interiors):
            run: tuple[Point, ...] = tuple((float(x), float(y)) for x, y in ring.coords[:-1])
            yield Line(shape.layer, run, closed=True)
