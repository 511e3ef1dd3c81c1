"""Areas with holes, as Shapely has them: their edges, as path data, moved and scaled."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from brief.instrument.curve import Point

Shapes = Any  # Shapely's Polygon or MultiPolygon; it has no types


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


def only_areas(shape: Shapes, least_mm2: float) -> Shapes:
    """The areas of a shape, without what is no area and what is less than that."""
    import shapely

    parts = shapely.get_parts(shape)
    return shapely.MultiPolygon(
        [one for one in parts if one.geom_type == "Polygon" and one.area > least_mm2]
    )


def moved_and_scaled(shape: Shapes, x: float, y: float, by: float) -> Shapes:
    """A shape moved so that (x, y) becomes the origin, then scaled."""
    from shapely.affinity import affine_transform

    return affine_transform(shape, (by, 0, 0, by, -x * by, -y * by))


def _number(value: float, decimals: int) -> str:
    return f"{round(value, decimals) + 0.0:.{decimals}f}".rstrip("0").rstrip(".") or "0"
