"""What the outlines of a drawing cover: filled, drawn with a broad line, or along a thin one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brief.errors import InputError
from brief.instrument.inlay.polygons import Shapes, only_areas
from brief.instrument.inlay.svg.outlines import Drawn, Outline, Run

FINENESS = 1e-5  # of a design's size, by which a chord may miss its curve
HAIRLINE = 0.01  # of its size: a closed line thinner than that is a line to cut along
MAX_POINTS = 20_000
MAX_CROSSING = 600


def regions(one: Outline, size: float, drawn: Drawn) -> Iterator[tuple[bool, Shapes]]:
    """What one outline covers, in millimetres, each with whether it cuts out.

    Parameters
    ----------
    one
    size
        Of the whole drawing, mm.
    drawn
        Which remarks are added to.

    Raises
    ------
    InputError
        For a shape that is squeezed flat, crosses itself or has too many points.
    """
    import shapely
    from shapely.affinity import affine_transform

    a, b, c, d, e, f = one.matrix
    scale = max(math.hypot(a, b), math.hypot(c, d))
    if scale <= 0 or abs(a * d - b * c) < 1e-12 * scale * scale:
        raise InputError("A shape of the drawing is squeezed flat. Draw it again.")
    rings, lines = [], []
    for run in one.runs:
        points = _flat(run, size * FINENESS / scale)
        if len(points) > MAX_POINTS:
            raise too_fine(len(points))
        if len(points) >= 3:
            rings.append(points)
        lines.append((points, run.closed))
    thin = one.stroke_width * scale < HAIRLINE * size
    to_cut_along = one.fill == "none" and thin and one.stroke_width > 0
    found: list[tuple[bool, Shapes]] = []
    if one.fill != "none" or to_cut_along:
        if to_cut_along:
            rings = [points for points, closed in lines if closed or _meets(points, size / scale)]
            if len(rings) < len(lines):
                drawn.remark("Open hairlines enclose nothing and were left out.")
            if rings:
                drawn.remark("Thin closed lines without a fill were taken as lines to saw along.")
        elif any(
            not run.closed and not _meets(p, size / scale)
            for run, (p, _) in zip(one.runs, lines, strict=True)
            if len(p) >= 3
        ):
            drawn.remark("An open outline was closed by a straight line.")
        if rings:
            region = nested(rings, even_odd=one.even_odd or to_cut_along)
            found.append((one.fill == "white", region))
    if one.stroke_width > 0 and not thin and (one.white_line or one.fill != "white"):
        for points, closed in lines:
            if len(points) < 2:
                continue
            if len(points) > MAX_CROSSING and not shapely.LineString(points).is_simple:
                raise InputError(
                    f"A line of {len(points):,} points crosses itself; of such at most "
                    f"{MAX_CROSSING:,} are read. Turn it into an outline (“stroke to path”)."
                )
            line = (
                shapely.LinearRing(points)
                if closed and len(points) > 2
                else (shapely.LineString(points))
            )
            region = line.buffer(
                one.stroke_width / 2,
                quad_segs=48,
                cap_style={"round": "round", "square": "square"}.get(one.cap, "flat"),
                join_style={"round": "round", "bevel": "bevel"}.get(one.join, "mitre"),
                mitre_limit=max(1.0, one.mitre),
            )
            found.append((one.white_line, region))
    for white, region in found:
        yield white, affine_transform(region, (a, c, b, d, e, f))


def nested(rings: Sequence[NDArray[np.float64]], *, even_odd: bool) -> Shapes:
    """The region within rings that lie apart or in each other, by a fill rule (SVG 2, 13.4.2).

    Raises
    ------
    InputError
        For a ring that crosses itself, and for two that cross.
    """
    import shapely

    kept = []
    for points in rings:
        ring = shapely.LinearRing(points)
        if not ring.is_simple:
            raise InputError(
                f"The outline crosses itself{_crossing(ring)}, so that no saw can follow it. "
                "Unite its parts in your drawing program (“union”), and save it again."
            )
        polygon = shapely.Polygon(ring)
        if polygon.area > 0:
            kept.append((polygon, 1 if ring.is_ccw else -1))
    kept.sort(key=lambda one: -one[0].area)
    polygons = [polygon for polygon, _ in kept]
    tree = shapely.STRtree(polygons)
    if tree.query(polygons, predicate="overlaps").size:
        raise InputError(
            "Two outlines of one shape cross each other. Unite them in your drawing program "
            "(“union”), and save it again."
        )
    within: list[list[int]] = [[] for _ in polygons]
    for inner, outer in zip(*tree.query(polygons, predicate="covered_by"), strict=True):
        if inner > outer:
            within[inner].append(int(outer))
    region: Shapes = shapely.MultiPolygon()
    for place, (polygon, turn) in enumerate(kept):
        around = sum(kept[outer][1] for outer in within[place])
        deep = len(within[place]) + 1
        filled = deep % 2 == 1 if even_odd else around + turn != 0
        region = region.union(polygon) if filled else region.difference(polygon)
    return only_areas(region, 0.0)


def _flat(run: Run, tolerance: float) -> NDArray[np.float64]:
    """A subpath as points, none like the one before it, by chords within the tolerance."""
    places = [np.array([run.start])]
    at = np.array(run.start, dtype=float)
    total = 0
    for step in run.steps:
        to = np.array(step, dtype=float)
        if len(to) == 1:
            places.append(to)
        else:
            # A chord misses a curve by at most 1/8 of its second derivative over the steps squared.
            bends = (at - 2 * to[0] + to[1], to[0] - 2 * to[1] + to[2])
            bend = 6 * max(math.hypot(*map(float, each)) for each in bends)
            count = max(1, math.ceil(math.sqrt(bend / 8 / tolerance)))
            total += count
            if total > 4 * MAX_POINTS:
                raise too_fine(total)
            t = np.linspace(0, 1, count + 1)[1:, None]
            u = 1 - t
            places.append(u**3 * at + 3 * u * u * t * to[0] + 3 * u * t * t * to[1] + t**3 * to[2])
        at = to[-1]
    points: NDArray[np.float64] = np.concatenate(places)
    moved = np.hypot(*np.diff(points, axis=0).T) > tolerance * 1e-3
    points = points[np.concatenate([[True], moved])]
    if run.closed and len(points) > 1 and math.dist(points[0], points[-1]) <= tolerance * 1e-3:
        points = points[:-1]
    return points


def _meets(points: NDArray[np.float64], size: float) -> bool:
    """Whether a line that is not closed ends where it began, as far as anybody can see."""
    return len(points) >= 3 and math.dist(points[0], points[-1]) < 1e-3 * size


def _crossing(ring: Any) -> str:
    import shapely
    from shapely.validation import explain_validity

    match = re.search(r"\[(\S+) (\S+)\]", explain_validity(shapely.Polygon(ring)))
    return f" near {float(match[1]):.4g}, {float(match[2]):.4g}" if match else ""


def too_fine(count: int) -> InputError:
    """What is said of a drawing with that many points."""
    return InputError(
        f"The drawing has {count:,} points; at most {MAX_POINTS:,} are read. Simplify its paths in "
        "your drawing program, and save it again."
    )
