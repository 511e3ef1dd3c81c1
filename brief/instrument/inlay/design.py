"""An inlay's design: the pieces it is sawn from, and what is measured on them.

A design is kept as path data of straight steps alone (M, L, Z), `UNIT_MM` wide, its middle at the
origin, y down: nothing of the file it came from. Curves are cut to chords that miss them by less
than a hundred-thousandth of the design's size. Areas, unions and offsets are Shapely's (GEOS).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING, Any

import numpy as np

from brief.errors import InputError
from brief.instrument.curve import Point
from brief.instrument.inlay.svg.outlines import Drawn, Outline, Run
from brief.instrument.inlay.svg.reader import read_svg
from brief.instrument.inlay.widths import Narrow, points_of, thinnest

if TYPE_CHECKING:
    from numpy.typing import NDArray

Shapes = Any  # Shapely's Polygon or MultiPolygon; it has no types
UNIT_MM = 100.0
FINENESS = 1e-5  # of a design's size, by which a chord may miss its curve
HAIRLINE = 0.01  # of its size: a closed line thinner than that is a line to cut along
MAX_POINTS, MAX_CROSSING, MAX_RINGS = 20_000, 600, 400
EVEN = 0.99  # of how narrow it is all in all, beyond which a design is as thin everywhere
ROOM_MM = 2.0  # round a blank on each side, to hold it by: common practice, no source
WIDTH_LIMITS_MM = (0.5, 600.0)
MOST_CHARACTERS = 30 * MAX_POINTS
_PLACE = r"-?\d{1,6}(?:\.\d{1,6})? -?\d{1,6}(?:\.\d{1,6})?"
_KEPT = re.compile(f"(?:M{_PLACE}(?:L{_PLACE}){{2,}}Z)+")


@dataclass(frozen=True)
class Design:
    """A design as it is kept: `path` is UNIT_MM wide; `drawn_mm` its width in its own file."""

    path: str
    drawn_mm: float
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Measured:
    """The measures of a design of a certain width. Lengths in millimetres.

    Attributes
    ----------
    edge_mm
        Of all edges, holes included, which is how far the saw goes.
    thinnest
        Its thinnest place, points aside.
    gap
        The narrowest place between two of its edges, None where there is none.
    points
        How many of its ends run out to a point.
    blank_mm
        The least rectangle that all of it can be sawn from, longer side first, with 2 mm of room
        round it.
    largest_mm
        The same of its largest piece.
    """

    width_mm: float
    height_mm: float
    area_mm2: float
    edge_mm: float
    pieces: int
    holes: int
    thinnest: Narrow
    gap: Narrow | None
    points: int
    blank_mm: tuple[float, float]
    largest_mm: tuple[float, float]


def read_design(text: str) -> Design:
    """The design that an SVG file, or path data in millimetres, draws.

    Filled shapes are united; white ones are cut out of those below. A line counts with its width;
    a closed one too thin to be sawn counts as the line to saw along.

    Raises
    ------
    InputError
        In the maker's words for what `read_svg` refuses, and for outlines that cross themselves,
        enclose nothing, or have too many points.
    """
    import shapely

    drawn = read_svg(text)
    size = _size(drawn)
    shape: Shapes = shapely.MultiPolygon()
    parts = (part for one in drawn.outlines for part in _regions(one, size, drawn))
    # In the order they are painted, as long as they all add or all cut out.
    for white, those in groupby(parts, key=itemgetter(0)):
        united = shapely.union_all([region for _, region in those])
        if white and not shape.is_empty:
            drawn.remark("White shapes were cut out of what they lie on.")
        shape = shape.difference(united) if white else shape.union(united)
        if shapely.get_num_coordinates(shape) > 4 * MAX_POINTS:
            raise _too_fine(shapely.get_num_coordinates(shape))
    # Crumbs of rounding are no pieces.
    shape = _pieces(shape, (size * 1e-4) ** 2)
    if shape.is_empty:
        raise InputError(
            "The drawing encloses no area: its lines are open and too thin to be inlaid. Close "
            "the outline, or give the line its width."
        )
    left, top, right, bottom = shape.bounds
    width = right - left
    scaled = _scaled(shape, (left + right) / 2, (top + bottom) / 2, UNIT_MM / width)
    scaled = scaled.simplify(UNIT_MM * FINENESS)
    count = shapely.get_num_coordinates(scaled)
    if count > MAX_POINTS:
        raise _too_fine(count)
    rings = sum(1 for _ in runs_of(scaled))
    if rings > MAX_RINGS:
        raise InputError(
            f"The drawing has {rings:,} pieces and holes; at most {MAX_RINGS} are read. Lay them "
            "in as several inlays, or simplify the drawing."
        )
    return Design(path_of(scaled, 5), width, tuple(drawn.remarks))


def dot() -> Design:
    """A round dot."""
    return read_design(
        '<svg xmlns="http://www.w3.org/2000/svg" width="6mm" height="6mm" viewBox="0 0 6 6">'
        '<circle cx="3" cy="3" r="3"/></svg>'
    )


def shape_of(path: str, width_mm: float) -> Shapes:
    """A kept design at its size, as Shapely's MultiPolygon, mm.

    Raises
    ------
    InputError
        For a width outside WIDTH_LIMITS_MM.
    """
    least, most = WIDTH_LIMITS_MM
    if not least <= width_mm <= most:
        raise InputError.at(
            "width_mm",
            f"An inlay is {least:g} to {most:g} mm wide; got {width_mm:g}. Give its width in mm.",
        )
    return _scaled(_kept_shape(path), 0.0, 0.0, width_mm / UNIT_MM)


def check_kept(path: str) -> None:
    """Refuse path data that `read_design` would not have kept as it is.

    Raises
    ------
    InputError
        If it is no outline, not of the size that is kept, or encloses nothing.
    """
    import shapely

    if len(path) > MOST_CHARACTERS or not _KEPT.fullmatch(path):
        raise InputError("This is no outline as it is kept here; read the drawing in again.")
    try:
        shape = shape_of(path, UNIT_MM)
    except shapely.errors.ShapelyError as exc:
        raise InputError("This outline encloses nothing; read the drawing in again.") from exc
    left, _, right, _ = shape.bounds if not shape.is_empty else (0.0, 0.0, 0.0, 0.0)
    count = shapely.get_num_coordinates(shape)
    if abs(right - left - UNIT_MM) > 1e-2 * UNIT_MM or count > MAX_POINTS:
        raise InputError("This outline is not of the size that is kept; read the drawing in again.")


@lru_cache(maxsize=128)
def measured(path: str, width_mm: float) -> Measured:
    """The saw and the blank that a kept design of that width needs.

    Raises
    ------
    InputError
        For a width outside WIDTH_LIMITS_MM.
    """
    return measure(shape_of(path, width_mm))


def measure(shape: Shapes) -> Measured:
    """What a saw and a blank have to be like for a shape, in millimetres."""
    pieces = list(shape.geoms)
    left, top, right, bottom = shape.bounds
    inner, gap = thinnest(shape)
    narrow = min(right - left, bottom - top)
    if inner.width_mm > EVEN * narrow:  # a dot or a bar, whose chords come out a little short
        inner = replace(inner, width_mm=narrow)
    return Measured(
        width_mm=right - left,
        height_mm=bottom - top,
        area_mm2=shape.area,
        edge_mm=shape.length,
        pieces=len(pieces),
        holes=sum(len(piece.interiors) for piece in pieces),
        thinnest=inner,
        gap=gap,
        points=len(points_of(shape)),
        blank_mm=_blank(shape),
        largest_mm=max(map(_blank, pieces)),
    )


def path_of(shape: Shapes, decimals: int = 2) -> str:
    """Path data of a shape, to be filled by the even-odd rule."""
    return "".join(
        "M" + "L".join(" ".join(_number(value, decimals) for value in point) for point in run) + "Z"
        for run in runs_of(shape)
    )


def runs_of(shape: Shapes) -> Iterator[list[Point]]:
    """The edges of a shape as closed runs, the first point not given again."""
    for piece in getattr(shape, "geoms", [shape]):
        for ring in (piece.exterior, *piece.interiors):
            yield [(float(x), float(y)) for x, y in ring.coords[:-1]]


def _regions(one: Outline, size: float, drawn: Drawn) -> Iterator[tuple[bool, Shapes]]:
    """What one outline covers, in millimetres, each with whether it cuts out."""
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
            raise _too_fine(len(points))
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
            region = _nested(rings, even_odd=one.even_odd or to_cut_along)
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


def _nested(rings: Sequence[NDArray[np.float64]], *, even_odd: bool) -> Shapes:
    """The region within rings that lie apart or in each other, by a fill rule (SVG 2, 13.4.2).

    Raises InputError for a ring that crosses itself, and for two that cross.
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
    return _pieces(region, 0.0)


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
                raise _too_fine(total)
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


def _size(drawn: Drawn) -> float:
    """The longer side of what is drawn, in millimetres, handles of curves included."""
    places = [
        (a * x + c * y + e, b * x + d * y + f)
        for one in drawn.outlines
        for (a, b, c, d, e, f) in [one.matrix]
        for run in one.runs
        for x, y in (run.start, *(point for step in run.steps for point in step))
    ]
    if not places:
        raise InputError(
            "The file draws nothing that can be inlaid: no path and no basic shape is to be seen. "
            "Show its layers, turn it into paths, and save it again."
        )
    low, high = np.min(places, axis=0), np.max(places, axis=0)
    size = float(np.max(high - low))
    if not 1e-6 < size < 1e6:
        raise InputError("The drawing has no size. Draw it larger, and save it again.")
    return size


@lru_cache(maxsize=128)  # a page with inlays asks for each some ten times
def _kept_shape(path: str) -> Shapes:
    """A kept design at the size it is kept at.

    Only ever scaled to another: what is prepared in place by one thread must not be met by the
    next.
    """
    return _nested([np.array(run, dtype=float) for run in _kept_rings(path)], even_odd=True)


def _kept_rings(path: str) -> Iterator[list[list[float]]]:
    for run in re.findall("M([^MZ]+)Z", path):
        yield [[float(part) for part in point.split()] for point in run.split("L")]


def _pieces(shape: Shapes, least_mm2: float) -> Shapes:
    """The areas of a shape, without what is no area and what is less than that."""
    import shapely

    parts = shapely.get_parts(shape)
    return shapely.MultiPolygon(
        [one for one in parts if one.geom_type == "Polygon" and one.area > least_mm2]
    )


def _scaled(shape: Shapes, x: float, y: float, by: float) -> Shapes:
    """A shape moved so that (x, y) becomes the origin, then scaled."""
    from shapely.affinity import affine_transform

    return affine_transform(shape, (by, 0, 0, by, -x * by, -y * by))


def _blank(shape: Shapes) -> tuple[float, float]:
    corners = np.array(shape.minimum_rotated_rectangle.exterior.coords)
    one, other = (math.dist(corners[i], corners[i + 1]) + 2 * ROOM_MM for i in (0, 1))
    return max(one, other), min(one, other)


def _crossing(ring: Any) -> str:
    import shapely
    from shapely.validation import explain_validity

    match = re.search(r"\[(\S+) (\S+)\]", explain_validity(shapely.Polygon(ring)))
    return f" near {float(match[1]):.4g}, {float(match[2]):.4g}" if match else ""


def _too_fine(count: int) -> InputError:
    return InputError(
        f"The drawing has {count:,} points; at most {MAX_POINTS:,} are read. Simplify its paths in "
        "your drawing program, and save it again."
    )


def _number(value: float, decimals: int) -> str:
    return f"{round(value, decimals) + 0.0:.{decimals}f}".rstrip("0").rstrip(".") or "0"
