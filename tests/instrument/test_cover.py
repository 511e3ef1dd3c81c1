"""What a design covers, pixel by pixel, against its area as Shapely (GEOS) has it."""

from __future__ import annotations

import pytest
import shapely
from shapely.affinity import translate

from brief.instrument.inlay.cover import MOST_MM, cover_of

PX_PER_MM = 3
RING = shapely.Point(0, 0).buffer(6, quad_segs=48).difference(shapely.Point(0, 0).buffer(3))
TWO = shapely.union_all([shapely.box(0, 0, 4, 2), shapely.Point(12, 9).buffer(1.5)])
THIN = shapely.LineString([(0, 0), (9, 5), (20, 3)]).buffer(0.2)


@pytest.mark.parametrize("shape", [RING, TWO, THIN], ids=["ring", "two", "thin"])
def test_its_area_is_that_of_the_design(shape):
    shape = shapely.MultiPolygon(getattr(shape, "geoms", [shape]))
    cover, edge_mm = cover_of(shape, PX_PER_MM)
    assert cover.min() >= 0
    assert cover.max() <= 1
    rounded = 0.015 * shape.length  # mm along its edges: a third of a pixel as it is drawn
    assert cover.sum() / PX_PER_MM**2 == pytest.approx(shape.area, abs=rounded)
    assert edge_mm == pytest.approx(shape.length)


def test_a_hole_is_not_covered():
    cover, _ = cover_of(shapely.MultiPolygon([RING]), PX_PER_MM)
    high, wide = cover.shape
    assert cover[high // 2, wide // 2] == 0


def test_of_a_large_one_the_fullest_square_counts():
    """A vine over 300 mm with one full leaf: the square has the leaf in it."""
    vine = shapely.LineString([(0, 0), (300, 20)]).buffer(0.5)
    leaf = translate(shapely.Point(0, 0).buffer(18), 240, 16)
    whole = shapely.MultiPolygon([vine.union(leaf)])
    cover, edge_mm = cover_of(whole, PX_PER_MM)
    assert max(cover.shape) <= MOST_MM * PX_PER_MM + 1
    assert cover.sum() / PX_PER_MM**2 > leaf.area
    assert 0 < edge_mm < whole.length
