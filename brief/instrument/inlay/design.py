"""An inlay's design: the pieces it is sawn from, and what is measured on them.

A design is kept as path data of straight steps alone (M, L, Z), `UNIT_MM` wide, its middle at the
origin, y down: nothing of the file it came from. Curves are cut to chords that miss them by less
than a hundred-thousandth of the design's size. Areas, unions and offsets are Shapely's (GEOS).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from operator import itemgetter

import numpy as np

from brief.errors import InputError
from brief.instrument.inlay.polygons import Shapes, moved_and_scaled, only_areas, path_of, runs_of
from brief.instrument.inlay.regions import FINENESS, MAX_POINTS, nested, regions, too_fine
from brief.instrument.inlay.svg.outlines import Drawn
from brief.instrument.inlay.svg.reader import read_svg

UNIT_MM = 100.0
MAX_RINGS = 400
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
    parts = (part for one in drawn.outlines for part in regions(one, size, drawn))
    # In the order they are painted, as long as they all add or all cut out.
    for white, those in groupby(parts, key=itemgetter(0)):
        united = shapely.union_all([region for _, region in those])
        if white and not shape.is_empty:
            drawn.remark("White shapes were cut out of what they lie on.")
        shape = shape.difference(united) if white else shape.union(united)
        if shapely.get_num_coordinates(shape) > 4 * MAX_POINTS:
            raise too_fine(shapely.get_num_coordinates(shape))
    # Crumbs of rounding are no pieces.
    shape = only_areas(shape, (size * 1e-4) ** 2)
    if shape.is_empty:
        raise InputError(
            "The drawing encloses no area: its lines are open and too thin to be inlaid. Close "
            "the outline, or give the line its width."
        )
    left, top, right, bottom = shape.bounds
    width = right - left
    scaled = moved_and_scaled(shape, (left + right) / 2, (top + bottom) / 2, UNIT_MM / width)
    scaled = scaled.simplify(UNIT_MM * FINENESS)
    count = shapely.get_num_coordinates(scaled)
    if count > MAX_POINTS:
        raise too_fine(count)
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
    return moved_and_scaled(_kept_shape(path), 0.0, 0.0, width_mm / UNIT_MM)


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
    return nested([np.array(run, dtype=float) for run in _kept_rings(path)], even_odd=True)


def _kept_rings(path: str) -> Iterator[list[list[float]]]:
    for run in re.findall("M([^MZ]+)Z", path):
        yield [[float(part) for part in point.split()] for point in run.split("L")]
